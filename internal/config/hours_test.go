package config

import (
	"testing"
	"time"
)

func TestHoursOfWork(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	at := func(text string) time.Time {
		when, err := time.ParseInLocation("2006-01-02 15:04", text, berlin)
		if err != nil {
			t.Fatal(err)
		}
		return when
	}
	for _, c := range []struct{ hours, now, next string }{
		{"22:00-07:00", "2026-03-14 21:59", "2026-03-14 22:00"},
		{"22:00-07:00", "2026-03-14 22:00", ""},
		{"22:00-07:00", "2026-03-14 23:59", ""},
		{"22:00-07:00", "2026-03-15 00:00", ""},
		{"22:00-07:00", "2026-03-15 06:59", ""},
		{"22:00-07:00", "2026-03-15 07:00", "2026-03-15 22:00"},
		{"09:00-17:30", "2026-03-14 08:00", "2026-03-14 09:00"},
		{"09:00-17:30", "2026-03-14 17:29", ""},
		{"09:00-17:30", "2026-03-14 17:30", "2026-03-15 09:00"},
		{"09:00-17:30", "2026-12-31 18:00", "2027-01-01 09:00"},
		{"", "2026-03-14 12:00", ""},
		// The night in which 02:00 to 03:00 is left out, and the one that has it twice.
		{"01:00-04:00", "2026-03-29 01:59", ""},
		{"01:00-04:00", "2026-03-29 03:30", ""},
		{"01:00-04:00", "2026-03-29 04:00", "2026-03-30 01:00"},
		{"02:30-04:00", "2026-03-29 01:59", "2026-03-29 03:30"},
		{"22:00-07:00", "2026-10-24 21:00", "2026-10-24 22:00"},
	} {
		h, ok := ParseHours(c.hours)
		if !ok || h.String() != c.hours {
			t.Fatalf("%q was read as %q, %v", c.hours, h, ok)
		}
		now := at(c.now)
		if within := c.next == ""; h.Has(now) != within {
			t.Errorf("%s at %s: within %v, want %v", c.hours, c.now, !within, within)
		} else if !within && !h.Next(now).Equal(at(c.next)) {
			t.Errorf("%s at %s: next %v, want %s", c.hours, c.now, h.Next(now), c.next)
		}
	}
}

func TestWorkThatTheHoursInterruptGoesOnInTheNext(t *testing.T) {
	at := func(s string) time.Time {
		when, err := time.ParseInLocation("2006-01-02 15:04", s, time.UTC)
		if err != nil {
			t.Fatal(err)
		}
		return when
	}
	for _, c := range []struct {
		hours, now string
		long       time.Duration
		want       string
	}{
		{"", "2026-03-14 12:00", 30 * time.Hour, "2026-03-15 18:00"},
		{"22:00-07:00", "2026-03-14 23:00", 2 * time.Hour, "2026-03-15 01:00"},
		{"22:00-07:00", "2026-03-14 23:00", 8 * time.Hour, "2026-03-15 07:00"},
		{"22:00-07:00", "2026-03-15 06:00", 2 * time.Hour, "2026-03-15 23:00"},
		{"22:00-07:00", "2026-03-15 06:00", 12 * time.Hour, "2026-03-17 00:00"},
		{"22:00-07:00", "2026-03-15 12:00", time.Hour, "2026-03-15 23:00"},
	} {
		h, _ := ParseHours(c.hours)
		if got := h.After(at(c.now), c.long); !got.Equal(at(c.want)) {
			t.Errorf("%q, %v from %s: %v, want %s", c.hours, c.long, c.now, got, c.want)
		}
	}
}

func TestWhatAreNoHours(t *testing.T) {
	for _, text := range []string{"22:00", "22-07", "22:00-22:00", "24:00-07:00", "22:00-07:60", "ten to six", "22:00-07:00-09:00", "-"} {
		if h, ok := ParseHours(text); ok {
			t.Errorf("%q was read as %q", text, h)
		}
	}
}
