package morning

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"sort"
	"time"

	"sizewright/internal/record"
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
	return Reader{Root: root}.latest(context.Background(), Calendar{endHour, loc}, most, false)
}

// BriefNights are the last [MaxNights] of nights as [Reader.Each] gives them, without the
// plans of their records, for [IndexHTML].
func (r Reader) BriefNights(ctx context.Context, c Calendar) ([]Night, error) {
	return r.latest(ctx, c, MaxNights, true)
}

func (r Reader) latest(ctx context.Context, c Calendar, most int, brief bool) ([]Night, error) {
	var nights []Night
	err := r.each(ctx, c, time.Time{}, brief, func(n Night) error {
		nights = slices.DeleteFunc(nights, func(before Night) bool { return before.Date == n.Date })
		nights = append(nights, n)
		if len(nights) == most {
			return errEnough
		}
		return nil
	})
	if err != nil && !errors.Is(err, errEnough) {
		return nil, err
	}
	slices.SortFunc(nights, func(a, b Night) int { return cmp.Compare(b.Date, a.Date) })
	return nights, nil
}

var errEnough = errors.New("enough")

// Calendar is by what clock a studio's nights are counted: see [NightOf].
type Calendar struct {
	EndHour int
	In      *time.Location
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
	l := ledger{reader: r, studio: studio, calendar: c, brief: brief, tell: tell, kept: map[string][]Entry{}, open: map[string]time.Time{}}
	for _, f := range files {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := l.close(ctx, f.modified); err != nil {
			return err
		}
		if e, ok := r.one(studio, f.path, readBrief); ok && !e.Record.Times.Finished.Before(since) {
			l.add(e)
		}
	}
	return l.close(ctx, time.Time{})
}

// ledger is the nights of records that are read from the latest file back.
type ledger struct {
	reader   Reader
	studio   *os.Root
	calendar Calendar
	brief    bool // told are records without their plans
	tell     func(Night) error

	kept map[string][]Entry   // by the night's date; where not brief, their paths alone
	open map[string]time.Time // nights to be told, by date: no older file than this is of it
}

func (l *ledger) add(e Entry) {
	date := NightOf(e.Record.Times.Finished.In(l.calendar.In), l.calendar.EndHour)
	if !l.brief {
		e.Record = record.Record{}
	}
	l.kept[date] = append(l.kept[date], e)
	if _, open := l.open[date]; !open {
		begin, _ := NightBegin(date, l.calendar.EndHour, l.calendar.In) // a date that NightOf gave is one
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
		l.reader.beat()
		if e, err := readRecord(l.studio, e.Path); err == nil {
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
