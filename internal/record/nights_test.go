package record_test

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
	"sizewright/internal/testkit/studiotest"
)

func calendar(endHour int, in *time.Location) record.Calendar {
	return record.Calendar{EndHour: endHour, In: in}
}

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
		if got := calendar(test.endHour, test.t.Location()).Night(test.t); got != test.want {
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
					night := calendar(endHour, now.Location()).Night(now)
					if night < last {
						t.Fatalf("%s, nights ending at %d: %v is in %s, before %s", place, endHour, now, night, last)
					}
					if last != "" && night > last {
						begin, err := calendar(endHour, loc).Begin(night)
						if err != nil || !begin.Equal(now) {
							t.Fatalf("%s, nights ending at %d: %s begins %v (%v), want %v", place, endHour, night, begin, err, now)
						}
					}
					last = night
				}
			}
		}
	}
	if _, err := calendar(7, time.UTC).Begin("yesterday"); err == nil {
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
	s := studiotest.New(t)
	berlin := location(t, "Europe/Berlin")
	at := func(clock string) { // the next order is finished then
		tick, err := time.ParseInLocation("2006-01-02 15:04", clock, berlin)
		s.Must(err)
		s.Tick = tick.Add(-time.Minute)
	}
	at("2026-03-28 23:00")
	s.Made("A2", "a.jpg")
	at("2026-03-29 06:59")
	s.TooSmall("40x60in", "b.jpg")
	at("2026-03-29 07:00")
	s.Made("A4", "c.jpg")

	nights, err := reader(s.Root).Latest(t.Context(), calendar(7, berlin), 0)
	s.Must(err)
	var got []string
	for _, n := range nights {
		got = append(got, fmt.Sprint(n.Date, n.Started.Format(" 15:04"), n.Finished.Format("-15:04"), n.Counts()))
	}
	want := []string{
		fmt.Sprint("2026-03-30 06:59-07:00", record.Counts{Ready: 1}),
		fmt.Sprint("2026-03-29 22:59-06:59", record.Counts{Ready: 1, Held: 1}),
	}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	if one, err := reader(s.Root).Latest(t.Context(), calendar(7, time.UTC), 0); err != nil || len(one) != 1 {
		t.Errorf("by a clock two hours behind there is one night, not %d (%v)", len(one), err)
	}
	if none, err := reader(studiotest.New(t).Root).Latest(t.Context(), calendar(7, berlin), 0); err != nil || len(none) != 0 {
		t.Errorf("a new studio: %d nights, %v", len(none), err)
	}
}

// TestTheLatestNightsAreReadAlone, whether the files have the dates of their making
// or all that of a copy.
func TestTheLatestNightsAreReadAlone(t *testing.T) {
	for _, copied := range []bool{false, true} {
		s := studiotest.New(t)
		for day := range 9 {
			s.Tick = time.Date(2026, 3, 1+day, 22, 0, 0, 0, time.UTC)
			for _, e := range []record.Entry{s.Made("A2", fmt.Sprint("a", day, ".jpg")), s.TooSmall("A2", fmt.Sprint("b", day, ".jpg"))} {
				if done := e.Record.Times.Finished; !copied {
					s.Must(os.Chtimes(filepath.Join(s.Root, e.Path), done, done))
				}
			}
		}
		for _, most := range []int{0, 1, 3, 9, 12} {
			nights, err := reader(s.Root).Latest(t.Context(), calendar(7, time.UTC), most)
			s.Must(err)
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
func years(t *testing.T, nights int) *studiotest.Studio {
	s := studiotest.New(t)
	for day := range nights {
		s.Tick = time.Date(2026, 3, 13-day, 22, 0, 0, 0, time.UTC)
		for _, e := range []record.Entry{s.Made("A2", fmt.Sprint("a", day, ".jpg")), s.TooSmall("A2", fmt.Sprint("b", day, ".jpg"))} {
			done := e.Record.Times.Finished
			s.Must(os.Chtimes(filepath.Join(s.Root, e.Path), done, done))
		}
	}
	return s
}

var utc = calendar(7, time.UTC)

// A studio of years is not read to its end before its latest night is told, and is left
// alone as soon as somebody says so.
func TestNightsAreToldAsTheyAreRead(t *testing.T) {
	s := years(t, 12)
	looked := 0
	r := record.Reader{Root: s.Root, Beat: func() { looked++ }}
	var told []string
	var at []int
	s.Must(r.Each(t.Context(), utc, time.Time{}, func(n record.Night) error {
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
	err := r.Each(ctx, utc, time.Time{}, func(n record.Night) error {
		told = append(told, n.Date)
		cancel()
		return nil
	})
	if !errors.Is(err, context.Canceled) || len(told) != 1 {
		t.Errorf("stopped after the first, it ends with %v after %q", err, told)
	}
	full := errors.New("the disk is full")
	if err := r.Each(t.Context(), utc, time.Time{}, func(record.Night) error { return full }); !errors.Is(err, full) {
		t.Errorf("it goes on after %v", err)
	}
	told = nil
	s.Must(r.Each(t.Context(), utc, time.Date(2026, 3, 11, 7, 0, 0, 0, time.UTC), func(n record.Night) error { told = append(told, n.Date); return nil }))
	if want := []string{"2026-03-14", "2026-03-13", "2026-03-12"}; !slices.Equal(told, want) {
		t.Errorf("since the morning of the 11th, told are %q, want %q", told, want)
	}
}

// A file that is older than what it tells, from a backup or an altered clock, is found late:
// its night is told again and whole.
func TestANightIsWholeWhateverItsFilesDates(t *testing.T) {
	s := years(t, 12)
	old := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)
	s.Must(os.Chtimes(filepath.Join(s.Root, "outbox/A2/a3.json"), old, old))
	last := map[string]int{}
	s.Must(reader(s.Root).Each(t.Context(), utc, time.Time{}, func(n record.Night) error { last[n.Date] = len(n.Records); return nil }))
	for date, records := range last {
		if records != 2 {
			t.Errorf("%s is told with %d records in the end", date, records)
		}
	}
	nights, err := reader(s.Root).Latest(t.Context(), calendar(7, time.UTC), 0)
	if s.Must(err); len(nights) != 12 || len(last) != 12 {
		t.Errorf("%d nights, and %d told, want 12", len(nights), len(last))
	}
}

func TestAPictureHasAHistory(t *testing.T) {
	s := studiotest.New(t)
	first := s.Made("A4", "dawn.jpg")
	s.Made("A2", "other.jpg")
	second := s.Printed("A2", "dawn renamed.jpg")
	second.Source.SHA256 = first.Record.Source.SHA256
	s.Publish(second)
	s.TooSmall("40x60in", "dawn.jpg")
	sha := first.Record.Source.SHA256
	for _, picture := range []string{"dawn.jpg", "dawn renamed.jpg", sha, sha[:8], strings.ToUpper(sha[:12])} {
		past, err := reader(s.Root).History(t.Context(), picture)
		s.Must(err)
		var got []string
		for _, e := range past {
			got = append(got, e.Record.Order.Folder+" "+string(e.Record.Status))
		}
		if want := []string{"A4 ready", "A2 ready", "40x60in held"}; !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", picture, got, want)
		}
	}
	for _, name := range []string{"torn.jpg", "lost.jpg"} { // never read, so of no known bytes
		r := s.Printed("A4", name)
		r.Source.SHA256 = ""
		s.Publish(r)
	}
	if past, err := reader(s.Root).History(t.Context(), "torn.jpg"); err != nil || len(past) != 1 {
		t.Errorf("a file that could not be read has a history of %d (%v), want its own", len(past), err)
	}
	for _, picture := range []string{"", "dawn", sha[:7], "gone.jpg"} {
		if past, err := reader(s.Root).History(t.Context(), picture); err != nil || len(past) != 0 {
			t.Errorf("%q has a history of %d (%v)", picture, len(past), err)
		}
	}
}
