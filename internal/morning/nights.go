package morning

import (
	"fmt"
	"slices"
	"sort"
	"strings"
	"time"
)

// NightOf is the night that a time belongs to, by the date of the morning it
// ends on: 2026-03-14. A night ends, and the next begins, when the clock shows
// endHour, 0 to 24; with 24 a night is a calendar day. The clock is that of t's
// location, whatever it does: where it is put forward over endHour the night
// ends as it is, and no time of a night is before one of the night before.
func NightOf(t time.Time, endHour int) string {
	year, month, day := t.Date()
	if t.Hour() >= endHour {
		day++
	}
	return time.Date(year, month, day, 12, 0, 0, 0, time.UTC).Format(time.DateOnly) // noon is in every day
}

// NightBegin is the first second of the night of a date in loc.
func NightBegin(date string, endHour int, loc *time.Location) (time.Time, error) {
	day, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return time.Time{}, fmt.Errorf("%q is no date; write it as 2026-03-14", date)
	}
	// A clock is off by a few hours where it is put forward or back, so the
	// second is looked for around where it should be.
	const around = 6 * 3600
	from := time.Date(day.Year(), day.Month(), day.Day()-1, endHour, 0, 0, 0, loc).Add(-around * time.Second)
	i := sort.Search(2*around, func(i int) bool {
		return NightOf(from.Add(time.Duration(i)*time.Second), endHour) >= date
	})
	return from.Add(time.Duration(i) * time.Second), nil
}

// Nights are all the nights that the studio at root has records of, the latest
// first, from the records alone: what was left alone and what went wrong is in
// none. endHour and loc are [NightOf]'s.
func Nights(root string, endHour int, loc *time.Location) ([]Night, error) {
	entries, err := Read(root, time.Time{})
	if err != nil {
		return nil, err
	}
	byDate := map[string]*Night{}
	var nights []*Night
	for _, e := range entries {
		claimed, finished := e.Record.Times.Claimed.In(loc), e.Record.Times.Finished.In(loc)
		date := NightOf(finished, endHour)
		n := byDate[date]
		if n == nil {
			n = &Night{Date: date, Started: claimed}
			byDate[date], nights = n, append(nights, n)
		}
		if claimed.Before(n.Started) {
			n.Started = claimed
		}
		n.Finished = finished // entries come in this order
		n.Records = append(n.Records, e)
	}
	all := make([]Night, len(nights))
	for i, n := range nights {
		all[i] = *n
	}
	slices.SortFunc(all, func(a, b Night) int { return strings.Compare(b.Date, a.Date) })
	return all, nil
}
