package config

import (
	"fmt"
	"strings"
	"time"
)

// Hours are the hours of a day in which orders are begun, by the local clock. The
// zero Hours are the whole day.
type Hours struct {
	from, to int // minutes since midnight; from == to is the whole day
}

// ParseHours reads "22:00-07:00": from the first time on, until just before the
// second, over midnight where that is the earlier one. "" is the whole day.
func ParseHours(text string) (Hours, bool) {
	if strings.TrimSpace(text) == "" {
		return Hours{}, true
	}
	first, second, ok := strings.Cut(text, "-")
	from, okFrom := minuteOfDay(first)
	to, okTo := minuteOfDay(second)
	return Hours{from, to}, ok && okFrom && okTo && from != to
}

func minuteOfDay(text string) (minute int, ok bool) {
	t, err := time.Parse("15:04", strings.TrimSpace(text))
	return t.Hour()*60 + t.Minute(), err == nil
}

// String writes the hours as they are read.
func (h Hours) String() string {
	if h.from == h.to {
		return ""
	}
	return fmt.Sprintf("%02d:%02d-%02d:%02d", h.from/60, h.from%60, h.to/60, h.to%60)
}

// Has tells whether t, by the clock of its own location, is within the hours.
func (h Hours) Has(t time.Time) bool {
	minute := t.Hour()*60 + t.Minute()
	switch {
	case h.from == h.to:
		return true
	case h.from < h.to:
		return h.from <= minute && minute < h.to
	}
	return minute >= h.from || minute < h.to
}

// Next is when the hours next begin after t, where t is not within them. On a day
// when clocks are put forward over that time, it is the moment after the gap.
func (h Hours) Next(t time.Time) time.Time { return nextAt(h.from, t) }

// After is when the hours have gone on for so long since t: work that is not done when
// they end goes on when they begin again.
func (h Hours) After(t time.Time, long time.Duration) time.Time {
	for h.from != h.to {
		if !h.Has(t) {
			t = h.Next(t)
		}
		end := nextAt(h.to, t)
		if left := end.Sub(t); long > left {
			t, long = end, long-left
			continue
		}
		break
	}
	return t.Add(long)
}

// nextAt is when a minute of the day next comes after t.
func nextAt(minute int, t time.Time) time.Time {
	next := time.Date(t.Year(), t.Month(), t.Day(), 0, minute, 0, 0, t.Location())
	if !next.After(t) {
		next = time.Date(t.Year(), t.Month(), t.Day()+1, 0, minute, 0, 0, t.Location())
	}
	return next
}

// hours is a stretch of the day.
func hours() kind[Hours] {
	return kind[Hours]{
		want: `two times of day such as "22:00-07:00", or ""`,
		read: func(value any) (Hours, bool) {
			text, ok := value.(string)
			if !ok {
				return Hours{}, false
			}
			return ParseHours(text)
		},
		show: func(h Hours) string { return fmt.Sprintf("%q", h) },
	}
}
