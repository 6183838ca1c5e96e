package daemon

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"sizewright/internal/order"
	"sizewright/internal/record"
)

// clockFrom is a clock that shows a time now and goes on.
func clockFrom(t time.Time) func() time.Time {
	start := time.Now()
	return func() time.Time { return t.Add(time.Since(start)) }
}

// With nights that end at noon, what is made in the afternoon is told tomorrow.
func TestANightEndsAtTheHourThatWasSet(t *testing.T) {
	for _, c := range []struct {
		hour       int
		endsAt     string
		wantReport string
	}{{11, "ends_at = 12", "2026-03-14"}, {13, "ends_at = 12", "2026-03-15"}, {23, "ends_at = 0", "2026-03-14"}, {23, "", "2026-03-14"}} {
		s, o := newStudio(t, "A6", quick+"[morning]\n"+c.endsAt+"\n")
		o.Now = clockFrom(time.Date(2026, 3, 14, c.hour, 0, 0, 0, time.Local))
		drop(t, s, "A6", "a.jpg", jpegOf(t, 600, 420))
		if _, err := Once(t.Context(), o); err != nil {
			t.Fatal(err)
		}
		if _, err := os.Stat(filepath.Join(s.MorningDir(), c.wantReport+".html")); err != nil {
			t.Errorf("at %d with %q: %v", c.hour, c.endsAt, err)
		}
	}
}

// A crash between the print and the report loses nothing: the records tell it.
func TestReportsAreWrittenAgainFromRecords(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	for day, name := range map[int]string{12: "a.jpg", 13: "b.jpg"} {
		o.Now = clockFrom(time.Date(2026, 3, day, 9, 0, 0, 0, time.Local))
		drop(t, s, "A6", name, jpegOf(t, 600+day, 420))
		if _, err := Once(t.Context(), o); err != nil {
			t.Fatal(err)
		}
	}
	old, err := filepath.Glob(filepath.Join(s.MorningDir(), "*"))
	if err != nil || len(old) == 0 {
		t.Fatal(old, err)
	}
	for _, name := range old {
		if err := os.Remove(name); err != nil {
			t.Fatal(err)
		}
	}
	rebuilt := func(since string) (pages []string, err error) {
		err = Rebuild(t.Context(), s, order.NewDesk(o.Config, s.Root(), 0, o.Decode, time.Now), since, time.Local, func(page string) { pages = append(pages, page) }, nil)
		return pages, err
	}
	pages, err := rebuilt("2026-03-13")
	if err != nil || len(pages) != 1 || filepath.Base(pages[0]) != "2026-03-13.html" {
		t.Errorf("since the 13th: %v, %v", pages, err)
	}
	if pages, err = rebuilt(""); err != nil || len(pages) != 2 {
		t.Errorf("all: %v, %v", pages, err)
	}
	nights, err := record.Reader{Root: s.Root()}.Latest(t.Context(), record.Calendar{EndHour: 24, In: time.Local}, 0)
	if err != nil || len(nights) != 2 {
		t.Errorf("%d nights, %v", len(nights), err)
	}
	for _, name := range []string{"index.html", "latest.html", "2026-03-12.json"} {
		if _, err := os.Stat(filepath.Join(s.MorningDir(), name)); err != nil {
			t.Error(err)
		}
	}
}
