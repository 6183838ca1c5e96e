package daemon

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/config"
	"sizewright/internal/record"
	"sizewright/internal/report"
)

// A process that is killed, or a machine that loses its power, between the last print and
// the report leaves a night unreported; a studio whose pages were taken away has all of its
// nights so. They are told again from the records, the latest first, beside the daemon's
// loop: a year of nights takes minutes.

// unreportedName is the file that says from when on nights are unreported, while some are
// being reported: the latest page, which says so else, is the first that is written.
// Earlier versions know the file by this name.
const unreportedName = ".sizewright/untold"

// unreported is that file's content.
type unreported struct {
	From time.Time `json:"from"` // finished then or later, and told in no page
}

// backfill writes the pages of nights that were left unreported.
type backfill struct {
	*run
	config *config.Config

	from    time.Time // of what was finished then or later there is no page
	resumed bool      // an earlier run began to tell it
	latest  string    // the date of the latest night there is
	wrote   []string  // pages, the latest first

	mu    sync.Mutex // guards what follows
	since time.Time  // when it began, by the clock of the disk; zero before
	over  bool       // all is told
}

// newBackfill finds out from when on nights are unreported, and is to be asked before this run
// writes a page of its own.
func (r *run) newBackfill() *backfill {
	b := &backfill{run: r, config: r.configuration()}
	b.from, b.since = b.left()
	b.resumed = !b.since.IsZero()
	return b
}

// write writes the pages of unreported nights until ctx ends, and then goes on at the next start
// where it was. What this run makes is told by its own reports.
func (b *backfill) write(ctx context.Context) {
	defer b.noteStatus(func(s *Status) { s.Backfill = nil })
	err := b.writeAll(ctx)
	switch {
	case ctx.Err() != nil:
		b.Log.Info("the rest of earlier nights is told at the next start", zap.Strings("pages", b.wrote))
	case err != nil:
		b.Log.Error("earlier nights were not told", zap.Error(err))
	case len(b.wrote) > 0:
		b.Log.Info("told of what an earlier run made before it ended", zap.Strings("pages", b.wrote))
	}
}

func (b *backfill) writeAll(ctx context.Context) error {
	calendar := calendarOf(b.config, b.Now().Location())
	begin := b.from
	if !begin.IsZero() { // the night's page tells of all of it
		var err error
		if begin, err = calendar.Begin(calendar.Night(b.from)); err != nil {
			return err
		}
	}
	reader := record.Reader{Root: b.Studio.Root(), Beat: b.backfilled.beat}
	if err := reader.Each(ctx, calendar, begin, func(n record.Night) error { return b.night(ctx, n) }); err != nil {
		return err
	}
	if len(b.wrote) > 0 || b.resumed {
		if err := b.index(ctx, reader, calendar); err != nil {
			return err
		}
	}
	return b.end()
}

// left is from when on nights are unreported, and when an earlier run began to tell them, if so.
func (b *backfill) left() (from, since time.Time) {
	file := filepath.Join(b.Studio.Root(), unreportedName)
	if data, err := os.ReadFile(file); err == nil {
		var u unreported
		if info, err := os.Stat(file); err == nil && json.Unmarshal(data, &u) == nil {
			return u.From, info.ModTime()
		}
	}
	return b.written(latestPage), time.Time{}
}

// written is when a page was written, zero if there is none.
func (b *backfill) written(page string) time.Time {
	info, err := os.Stat(filepath.Join(b.Studio.Root(), page))
	if err != nil {
		return time.Time{}
	}
	return info.ModTime()
}

// begin notes that nights may be unreported, until all are told. To be called before a page is
// written that would say otherwise.
func (b *backfill) begin() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.over || !b.since.IsZero() {
		return nil
	}
	data, err := json.Marshal(unreported{b.from})
	if err != nil {
		return err
	}
	if err := b.Studio.WriteFile(unreportedName, append(data, '\n')); err != nil {
		return err
	}
	b.since = b.written(unreportedName)
	return nil
}

// began is when it began, in this run or an earlier one.
func (b *backfill) began() time.Time {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.since
}

// end notes that all is told.
func (b *backfill) end() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.over = true
	if b.since.IsZero() {
		return nil
	}
	return b.Studio.RemoveFile(unreportedName)
}

// night writes the page of a night, unless somebody has.
func (b *backfill) night(ctx context.Context, n record.Night) error {
	b.latest = max(b.latest, n.Date)
	last := b.lastUnreported(n)
	if last.IsZero() || b.isTold(n.Date, last) || b.reported(n.Date) {
		return nil
	}
	if len(b.wrote) == 0 {
		b.Log.Info("writing the pages of earlier nights, which were not told", zap.Time("from", b.from))
	}
	if err := b.begin(); err != nil {
		return err
	}
	at := Backfill{n.Date, len(b.wrote)}
	b.noteStatus(func(s *Status) { s.Backfill = &at })
	before := b.written(morningDir + n.Date + ".html")
	made, err := makePages(ctx, &report.Night{Night: n, Units: b.config.Units}, report.Making{Root: b.Studio.Root(), Workers: max(runtime.GOMAXPROCS(0)/2, 1), Beat: b.backfilled.beat, Look: b.look}, b.packer(b.config, b.backfilled.beat))
	if err != nil {
		return err
	}
	b.onPage(ctx, n.Date)
	if err := ctx.Err(); err != nil {
		return err
	}
	b.pages.writing.Lock()
	defer b.pages.writing.Unlock()
	if b.pages.told[n.Date] || !b.written(made.page()).Equal(before) {
		return nil // a report has come meanwhile, and says more
	}
	if err := made.write(b.Studio, n.Date == b.latest && len(b.pages.told) == 0); err != nil {
		return err
	}
	b.wrote = append(b.wrote, made.page())
	return nil
}

// lastUnreported is when the last of what an earlier run left unreported of a night was finished.
func (b *backfill) lastUnreported(n record.Night) (last time.Time) {
	for _, e := range n.Records {
		if done := e.Record.Times.Finished; !done.Before(b.from) && done.Before(b.started) && done.After(last) {
			last = done
		}
	}
	return last
}

// isTold tells whether the run that was interrupted had come to a night.
func (b *backfill) isTold(date string, last time.Time) bool {
	page := b.written(morningDir + date + ".html")
	began := b.began()
	return !began.IsZero() && !page.Before(began) && !page.Before(last) && (date != b.latest || !b.written(latestPage).IsZero())
}

// reported tells whether this run has written a night's page itself.
func (b *backfill) reported(date string) bool {
	b.pages.writing.Lock()
	defer b.pages.writing.Unlock()
	return b.pages.told[date]
}
