package morning

import (
	"fmt"
	"maps"
	"slices"
	"sort"
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

// Nights are the latest nights that the studio at root has records of, at most most
// of them or all where most is 0, the latest first, from the records alone: what was
// left alone and what went wrong is in none. endHour and loc are [NightOf]'s.
func Nights(root string, endHour int, loc *time.Location, most int) ([]Night, error) {
	entries, err := latest(root, endHour, loc, most)
	if err != nil {
		return nil, err
	}
	byDate := map[string]*Night{}
	for _, e := range entries {
		claimed, finished := e.Record.Times.Claimed.In(loc), e.Record.Times.Finished.In(loc)
		date := NightOf(finished, endHour)
		n := byDate[date]
		if n == nil {
			n = &Night{Date: date, Started: claimed}
			byDate[date] = n
		}
		if claimed.Before(n.Started) {
			n.Started = claimed
		}
		n.Finished = finished // entries come in this order
		n.Records = append(n.Records, e)
	}
	var nights []Night
	for _, date := range latestDates(byDate, most) {
		nights = append(nights, *byDate[date])
	}
	return nights, nil
}

// latestDates are the last dates of all, at most most of them or all where most is
// 0, the latest first.
func latestDates[T any](all map[string]T, most int) []string {
	dates := slices.Sorted(maps.Keys(all))
	slices.Reverse(dates)
	if most > 0 && len(dates) > most {
		dates = dates[:most]
	}
	return dates
}

// latest reads the records from the latest back, until those of enough nights are
// known: a studio may hold the records of years.
func latest(root string, endHour int, loc *time.Location, most int) ([]Entry, error) {
	studio, err := openStudio(root)
	if err != nil {
		return nil, err
	}
	defer studio.Close()
	files := recordFiles(studio, outboxDir, heldDir)
	slices.SortFunc(files, func(a, b recordFile) int { return b.modified.Compare(a.modified) })
	var entries []Entry
	var enough time.Time // no record of a file from before this matters
	seen := map[string]bool{}
	for _, f := range files {
		if f.modified.Before(enough) {
			break
		}
		e, err := readRecord(studio, f.path)
		if err != nil {
			continue
		}
		entries = append(entries, e)
		date := NightOf(e.Record.Times.Finished.In(loc), endHour)
		if seen[date] || most == 0 {
			continue
		}
		seen[date] = true
		if dates := latestDates(seen, most); len(dates) == most {
			if begin, err := NightBegin(dates[most-1], endHour, loc); err == nil {
				enough = begin.Add(-clockSlack)
			}
		}
	}
	inOrder(entries)
	return entries, nil
}
