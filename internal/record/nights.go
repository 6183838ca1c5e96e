package record

import (
	"cmp"
	"context"
	"errors"
	"os"
	"slices"
	"sort"
	"time"

	"sizewright/internal/remedy"
)

// Calendar says which night a time belongs to. A night ends, and the next begins, when
// the clock of a place shows EndHour, 0 to 24; with 24 a night is a calendar day. Where
// the clock is put forward over EndHour the night ends as it is, and no time of a night
// is before one of the night before.
type Calendar struct {
	EndHour int
	In      *time.Location
}

// Night is the night that a time belongs to, by the date of the morning it ends on:
// 2026-03-14.
func (c Calendar) Night(t time.Time) string {
	t = t.In(c.In)
	year, month, day := t.Date()
	if t.Hour() >= c.EndHour {
		day++
	}
	return time.Date(year, month, day, 12, 0, 0, 0, time.UTC).Format(time.DateOnly) // noon is in every day
}

// Begin is the first second of the night of a date.
func (c Calendar) Begin(date string) (time.Time, error) {
	day, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return time.Time{}, remedy.Errorf("write it as 2026-03-14", "%q is no date", date)
	}
	// A clock is off by a few hours where it is put forward or back, so the
	// second is looked for around where it should be.
	const around = 6 * 3600
	from := time.Date(day.Year(), day.Month(), day.Day()-1, c.EndHour, 0, 0, 0, c.In).Add(-around * time.Second)
	i := sort.Search(2*around, func(i int) bool {
		return c.Night(from.Add(time.Duration(i)*time.Second)) >= date
	})
	return from.Add(time.Duration(i) * time.Second), nil
}

// Latest are the latest nights that there are records of, at most most of them or all
// where most is 0, the latest first, as [Reader.Each] gives them but without the plans of
// their records.
func (r Reader) Latest(ctx context.Context, c Calendar, most int) ([]Night, error) {
	var nights []Night
	enough := errors.New("enough")
	err := r.each(ctx, c, time.Time{}, true, func(n Night) error {
		nights = slices.DeleteFunc(nights, func(before Night) bool { return before.Date == n.Date })
		nights = append(nights, n)
		if len(nights) == most {
			return enough
		}
		return nil
	})
	if err != nil && !errors.Is(err, enough) {
		return nil, err
	}
	slices.SortFunc(nights, func(a, b Night) int { return cmp.Compare(b.Date, a.Date) })
	return nights, nil
}

// Each hands the nights that anything was finished in at since or later to tell, the
// latest first and whole, from the records alone, as soon as each is known. It keeps the
// records of a few nights at a time. It ends with ctx, or with an error of tell's.
//
// A night whose records' files are older than what they tell, which only an altered clock
// or a restored copy makes, is found late: it is then handed over again, whole.
func (r Reader) Each(ctx context.Context, c Calendar, since time.Time, tell func(Night) error) error {
	return r.each(ctx, c, since, false, tell)
}

func (r Reader) each(ctx context.Context, c Calendar, since time.Time, brief bool, tell func(Night) error) error {
	studio, err := openStudio(r.Root)
	if err != nil {
		return err
	}
	defer studio.Close()
	files, err := r.files(ctx, studio, since, outboxDir, heldDir)
	if err != nil {
		return err
	}
	slices.SortFunc(files, func(a, b recordFile) int { return b.modified.Compare(a.modified) })
	l := ledger{Reader: r, studio: studio, calendar: c, brief: brief, tell: tell, kept: map[string][]Entry{}, open: map[string]time.Time{}}
	for _, f := range files {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := l.close(ctx, f.modified); err != nil {
			return err
		}
		if e, ok := r.readAt(studio, f.path, DecodeBrief); ok && !e.Record.Times.Finished.Before(since) {
			l.add(e)
		}
	}
	return l.close(ctx, time.Time{})
}

// ledger is the nights of records that are read from the latest file back.
type ledger struct {
	Reader
	studio   *os.Root
	calendar Calendar
	brief    bool // told are records without their plans
	tell     func(Night) error

	kept map[string][]Entry   // by the night's date; where not brief, their paths alone
	open map[string]time.Time // nights to be told, by date: no older file than this is of it
}

func (l *ledger) add(e Entry) {
	date := l.calendar.Night(e.Record.Times.Finished)
	if !l.brief {
		e.Record = Record{}
	}
	l.kept[date] = append(l.kept[date], e)
	if _, open := l.open[date]; !open {
		begin, _ := l.calendar.Begin(date) // a date that Night gave is one
		l.open[date] = begin.Add(-clockSlack)
	}
}

// close tells the open nights that no file as old as this, or older, is of.
func (l *ledger) close(ctx context.Context, modified time.Time) error {
	var dates []string
	for date, oldest := range l.open {
		if modified.Before(oldest) || modified.IsZero() {
			dates = append(dates, date)
		}
	}
	slices.Sort(dates)
	for _, date := range slices.Backward(dates) {
		n, err := l.night(ctx, date)
		if err != nil {
			return err
		}
		delete(l.open, date)
		if len(n.Records) == 0 {
			continue // taken away meanwhile
		}
		if err := l.tell(n); err != nil {
			return err
		}
	}
	return nil
}

// night is the records of a night, as they are now where they are told with their plans.
func (l *ledger) night(ctx context.Context, date string) (Night, error) {
	n := Night{Date: date}
	for _, e := range l.kept[date] {
		if l.brief {
			n.Records = append(n.Records, e)
			continue
		}
		if err := ctx.Err(); err != nil {
			return n, err
		}
		l.beat()
		if e, err := readAt(l.studio, e.Path, Decode); err == nil {
			n.Records = append(n.Records, e)
		}
	}
	inOrder(n.Records)
	for i, e := range n.Records {
		claimed, finished := e.Record.Times.Claimed.In(l.calendar.In), e.Record.Times.Finished.In(l.calendar.In)
		if i == 0 || claimed.Before(n.Started) {
			n.Started = claimed
		}
		n.Finished = finished
	}
	return n, nil
}
