package morning

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // the tests need no tz database on the machine

	"sizewright/internal/record"
)

func location(t *testing.T, name string) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

// TestANightIsNamedByTheMorningItEndsOn. In Berlin the clock went from 02:00 to
// 03:00 on 29 March 2026 and goes from 03:00 back to 02:00 on 25 October 2026
// (Directive 2000/84/EC: the last Sundays, at 01:00 UTC).
func TestANightIsNamedByTheMorningItEndsOn(t *testing.T) {
	berlin := location(t, "Europe/Berlin")
	utc := func(month time.Month, day, hour, minute int) time.Time {
		return time.Date(2026, month, day, hour, minute, 0, 0, time.UTC).In(berlin)
	}
	for _, test := range []struct {
		t       time.Time
		clock   string
		endHour int
		want    string
	}{
		{utc(3, 13, 21, 0), "22:00", 7, "2026-03-14"},
		{utc(3, 14, 5, 59), "06:59", 7, "2026-03-14"},
		{utc(3, 14, 6, 0), "07:00", 7, "2026-03-15"},
		{utc(3, 14, 6, 0), "07:00", 24, "2026-03-14"}, // a calendar day
		{utc(3, 14, 6, 0), "07:00", 0, "2026-03-15"},
		{utc(12, 31, 22, 0), "23:00", 7, "2027-01-01"},
		// Spring: there is no 02:30.
		{utc(3, 29, 0, 59), "01:59", 2, "2026-03-29"},
		{utc(3, 29, 1, 0), "03:00", 2, "2026-03-30"},
		{utc(3, 29, 1, 0), "03:00", 3, "2026-03-30"},
		{utc(3, 29, 4, 59), "06:59", 7, "2026-03-29"},
		{utc(3, 29, 5, 0), "07:00", 7, "2026-03-30"},
		// Autumn: 02:30 comes twice.
		{utc(10, 25, 0, 30), "02:30", 3, "2026-10-25"},
		{utc(10, 25, 1, 30), "02:30", 3, "2026-10-25"},
		{utc(10, 25, 2, 0), "03:00", 3, "2026-10-26"},
		{utc(10, 24, 23, 59), "01:59", 2, "2026-10-25"},
		{utc(10, 25, 0, 30), "02:30", 2, "2026-10-26"},
		{utc(10, 25, 1, 30), "02:30", 2, "2026-10-26"},
		{utc(10, 25, 5, 59), "06:59", 7, "2026-10-25"},
		{utc(10, 25, 6, 0), "07:00", 7, "2026-10-26"},
	} {
		if got := test.t.Format("15:04"); got != test.clock {
			t.Errorf("the clock shows %s, not %s", got, test.clock)
		}
		if got := NightOf(test.t, test.endHour); got != test.want {
			t.Errorf("%v, nights ending at %d: %s, want %s", test.t, test.endHour, got, test.want)
		}
	}
}

// TestNightsFollowOneAnother, ten minutes at a time, over three days about every
// change of the clock: also where it is changed at midnight, and by half an hour.
func TestNightsFollowOneAnother(t *testing.T) {
	for _, place := range []string{"Europe/Berlin", "America/Havana", "Africa/Cairo", "Australia/Lord_Howe"} {
		loc := location(t, place)
		for _, change := range changes(loc) {
			for endHour := range 25 {
				from, last := change.Add(-36*time.Hour), ""
				for m := 0; m < 72*60; m += 10 {
					now := from.Add(time.Duration(m) * time.Minute)
					night := NightOf(now, endHour)
					if night < last {
						t.Fatalf("%s, nights ending at %d: %v is in %s, before %s", place, endHour, now, night, last)
					}
					if last != "" && night > last {
						begin, err := NightBegin(night, endHour, loc)
						if err != nil || !begin.Equal(now) {
							t.Fatalf("%s, nights ending at %d: %s begins %v (%v), want %v", place, endHour, night, begin, err, now)
						}
					}
					last = night
				}
			}
		}
	}
	if _, err := NightBegin("yesterday", 7, time.UTC); err == nil {
		t.Error("yesterday is a date")
	}
}

// changes are the hours of 2026 after which the clock has another offset.
func changes(loc *time.Location) []time.Time {
	var all []time.Time
	t := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	for ; t.Year() == 2026; t = t.Add(time.Hour) {
		_, before := t.In(loc).Zone()
		if _, after := t.Add(time.Hour).In(loc).Zone(); before != after {
			all = append(all, t.In(loc))
		}
	}
	return all
}

func TestTheNightsAreReadFromTheRecordsAlone(t *testing.T) {
	s := newStudio(t)
	berlin := location(t, "Europe/Berlin")
	at := func(clock string) { // the next order is finished then
		tick, err := time.ParseInLocation("2006-01-02 15:04", clock, berlin)
		s.must(err)
		s.tick = tick.Add(-time.Minute)
	}
	at("2026-03-28 23:00")
	s.made("A2", "a.jpg")
	at("2026-03-29 06:59")
	s.tooSmall("40x60in", "b.jpg")
	at("2026-03-29 07:00")
	s.made("A4", "c.jpg")

	nights, err := Nights(s.root, 7, berlin, 0)
	s.must(err)
	var got []string
	for _, n := range nights {
		got = append(got, fmt.Sprint(n.Date, n.Started.Format(" 15:04"), n.Finished.Format("-15:04"), n.Counts()))
	}
	want := []string{
		fmt.Sprint("2026-03-30 06:59-07:00", Counts{Ready: 1}),
		fmt.Sprint("2026-03-29 22:59-06:59", Counts{Ready: 1, Held: 1}),
	}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	if one, err := Nights(s.root, 7, time.UTC, 0); err != nil || len(one) != 1 {
		t.Errorf("by a clock two hours behind there is one night, not %d (%v)", len(one), err)
	}
	if none, err := Nights(newStudio(t).root, 7, berlin, 0); err != nil || len(none) != 0 {
		t.Errorf("a new studio: %d nights, %v", len(none), err)
	}
}

// TestTheLatestNightsAreReadAlone, whether the files have the dates of their making
// or all that of a copy.
func TestTheLatestNightsAreReadAlone(t *testing.T) {
	for _, copied := range []bool{false, true} {
		s := newStudio(t)
		for day := range 9 {
			s.tick = time.Date(2026, 3, 1+day, 22, 0, 0, 0, time.UTC)
			for _, e := range []Entry{s.made("A2", fmt.Sprint("a", day, ".jpg")), s.tooSmall("A2", fmt.Sprint("b", day, ".jpg"))} {
				if done := e.Record.Times.Finished; !copied {
					s.must(os.Chtimes(filepath.Join(s.root, e.Path), done, done))
				}
			}
		}
		for _, most := range []int{0, 1, 3, 9, 12} {
			nights, err := Nights(s.root, 7, time.UTC, most)
			s.must(err)
			want := 9
			if most > 0 {
				want = min(most, 9)
			}
			if len(nights) != want || nights[0].Date != "2026-03-10" {
				t.Fatalf("copied %t: the last %d are %d from %s on, want %d from 2026-03-10", copied, most, len(nights), nights[0].Date, want)
			}
			for _, n := range nights {
				if len(n.Records) != 2 {
					t.Errorf("copied %t: %d records of the night of %s, want 2", copied, len(n.Records), n.Date)
				}
			}
		}
	}
}

// years is a studio with a print and a hold in each of some nights, the latest of which
// ends on the 14th of March, and files as old as what they tell.
func years(t *testing.T, nights int) *studioDir {
	s := newStudio(t)
	for day := range nights {
		s.tick = time.Date(2026, 3, 13-day, 22, 0, 0, 0, time.UTC)
		for _, e := range []Entry{s.made("A2", fmt.Sprint("a", day, ".jpg")), s.tooSmall("A2", fmt.Sprint("b", day, ".jpg"))} {
			done := e.Record.Times.Finished
			s.must(os.Chtimes(filepath.Join(s.root, e.Path), done, done))
		}
	}
	return s
}

var utc = Calendar{EndHour: 7, In: time.UTC}

// A studio of years is not read to its end before its latest night is told, and is left
// alone as soon as somebody says so.
func TestNightsAreToldAsTheyAreRead(t *testing.T) {
	s := years(t, 12)
	looked := 0
	r := Reader{Root: s.root, Beat: func() { looked++ }}
	var told []string
	var at []int
	s.must(r.Each(t.Context(), utc, time.Time{}, func(n Night) error {
		if len(n.Records) != 2 {
			t.Errorf("%s is told with %d records, want 2", n.Date, len(n.Records))
		}
		told, at = append(told, n.Date), append(at, looked)
		return nil
	}))
	if len(told) != 12 || told[0] != "2026-03-14" || told[11] != "2026-03-03" || !slices.IsSortedFunc(told, func(a, b string) int { return strings.Compare(b, a) }) {
		t.Errorf("told are %q, want twelve nights from the latest back", told)
	}
	if at[0] > looked/2 {
		t.Errorf("the first is told after %d looks of %d", at[0], looked)
	}

	ctx, cancel := context.WithCancel(t.Context())
	told = nil
	err := r.Each(ctx, utc, time.Time{}, func(n Night) error {
		told = append(told, n.Date)
		cancel()
		return nil
	})
	if !errors.Is(err, context.Canceled) || len(told) != 1 {
		t.Errorf("stopped after the first, it ends with %v after %q", err, told)
	}
	full := errors.New("the disk is full")
	if err := r.Each(t.Context(), utc, time.Time{}, func(Night) error { return full }); !errors.Is(err, full) {
		t.Errorf("it goes on after %v", err)
	}
	told = nil
	s.must(r.Each(t.Context(), utc, time.Date(2026, 3, 11, 7, 0, 0, 0, time.UTC), func(n Night) error { told = append(told, n.Date); return nil }))
	if want := []string{"2026-03-14", "2026-03-13", "2026-03-12"}; !slices.Equal(told, want) {
		t.Errorf("since the morning of the 11th, told are %q, want %q", told, want)
	}
}

// A file that is older than what it tells, from a backup or an altered clock, is found late:
// its night is told again and whole.
func TestANightIsWholeWhateverItsFilesDates(t *testing.T) {
	s := years(t, 12)
	old := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)
	s.must(os.Chtimes(filepath.Join(s.root, "outbox/A2/a3.json"), old, old))
	last := map[string]int{}
	s.must(Reader{Root: s.root}.Each(t.Context(), utc, time.Time{}, func(n Night) error { last[n.Date] = len(n.Records); return nil }))
	for date, records := range last {
		if records != 2 {
			t.Errorf("%s is told with %d records in the end", date, records)
		}
	}
	nights, err := Nights(s.root, 7, time.UTC, 0)
	if s.must(err); len(nights) != 12 || len(last) != 12 {
		t.Errorf("%d nights, and %d told, want 12", len(nights), len(last))
	}
}

// The small pictures of a night take most of the time that its page takes: a stop does not
// wait for all of them.
func TestAPageIsGivenUpInTheMaking(t *testing.T) {
	s := newStudio(t)
	n := &Night{Date: "2026-03-14"}
	for i := range 20 {
		n.Records = append(n.Records, s.made("A2", fmt.Sprint(i, ".jpg")))
	}
	ctx, cancel := context.WithCancel(t.Context())
	made := 0
	page, err := n.Page(ctx, Making{Root: s.root, Workers: 1, Beat: func() { made++; cancel() }})
	if !errors.Is(err, context.Canceled) || page != nil || made != 1 {
		t.Errorf("given up after %d orders of 20: %v", made, err)
	}
}

func TestAPictureHasAHistory(t *testing.T) {
	s := newStudio(t)
	first := s.made("A4", "dawn.jpg")
	s.made("A2", "other.jpg")
	second := s.printed("A2", "dawn renamed.jpg")
	second.Source.SHA256 = first.Record.Source.SHA256
	s.publish(second)
	s.tooSmall("40x60in", "dawn.jpg")
	sha := first.Record.Source.SHA256
	for _, picture := range []string{"dawn.jpg", "dawn renamed.jpg", sha, sha[:8], strings.ToUpper(sha[:12])} {
		past, err := History(s.root, picture)
		s.must(err)
		var got []string
		for _, e := range past {
			got = append(got, e.Record.Order.Folder+" "+string(e.Record.Status))
		}
		if want := []string{"A4 ready", "A2 ready", "40x60in held"}; !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", picture, got, want)
		}
	}
	for _, name := range []string{"torn.jpg", "lost.jpg"} { // never read, so of no known bytes
		r := s.printed("A4", name)
		r.Source.SHA256 = ""
		s.publish(r)
	}
	if past, err := History(s.root, "torn.jpg"); err != nil || len(past) != 1 {
		t.Errorf("a file that could not be read has a history of %d (%v), want its own", len(past), err)
	}
	for _, picture := range []string{"", "dawn", sha[:7], "gone.jpg"} {
		if past, err := History(s.root, picture); err != nil || len(past) != 0 {
			t.Errorf("%q has a history of %d (%v)", picture, len(past), err)
		}
	}
}

func (s *studioDir) index(nights []Night) string {
	s.Helper()
	b, err := IndexHTML(s.root, nights)
	s.must(err)
	return string(b)
}

func TestTheIndexTellsOfNightsAndPictures(t *testing.T) {
	s := newStudio(t)
	n := *s.night()
	earlier := Night{Date: "2026-03-10", Records: []Entry{s.made("A3", "reeds.jpg")}}
	s.put("outbox/morning/2026-03-14.html", nil)
	page := plain(s.index([]Night{n, earlier}))
	after(t, page, ">Nights<",
		`<a href="2026-03-14.html">Saturday 14 March 2026</a>`, "Four prints were made", "1 for 24x36in, 1 for A3 matt, 2 for A4 lustre",
		">Tuesday 10 March 2026<", "One print was made",
		">Pictures<", ">dawn (copy).jpg<", ">24x36in</bdi>, 14 March 2026 <small>ready<", ">24x36in</bdi>, 14 March 2026 <small>made before<", ">heron.jpg<", "<small>held<",
		">reeds.jpg<", ">A3</bdi>, 10 March 2026", `href="../A3/reeds.tif"`, ">A4 lustre</bdi>, 14 March 2026")
	if strings.Contains(page, "2026-03-10.html") {
		t.Error("a link to a page that is not there")
	}
	if strings.Contains(page, "<script") || strings.Contains(page, "ZgotmplZ") {
		t.Error("a script, or a value that was refused")
	}
	after(t, s.index(nil), "Nothing was made yet.")
}

func TestTheIndexTellsOfTheLastNightsAlone(t *testing.T) {
	s := newStudio(t)
	var nights []Night
	for i := range MaxNights + 5 {
		nights = append(nights, Night{Date: evening.AddDate(0, 0, -i).Format(time.DateOnly)})
	}
	if got := strings.Count(s.index(nights), "<h3>"); got != MaxNights {
		t.Errorf("%d nights, want %d", got, MaxNights)
	}
}

// TestNamesNeverBecomeMarkupInTheIndex as in the page of a night.
func TestNamesNeverBecomeMarkupInTheIndex(t *testing.T) {
	s := newStudio(t)
	dressed := func(text string) string {
		r := record.Record{Status: record.Ready, Source: record.Source{Name: text, SHA256: text, Original: "originals/x"}, Order: record.Order{Folder: text, Size: text, Stock: text}, Print: &record.Print{File: "x.tif"}}
		return s.index([]Night{{Date: "2026-03-14", Records: []Entry{{Path: "outbox/A2/x.json", Record: r}}}, {Date: text}})
	}
	want := skeleton(dressed("marsh"))
	for _, text := range hostile {
		if got := skeleton(dressed(text)); !slices.Equal(got, want) {
			t.Errorf("%q changes the index to\n%q", text, got)
		}
	}
}
