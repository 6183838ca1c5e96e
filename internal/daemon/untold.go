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
// the report leaves a night untold; a studio whose pages were taken away has all of its
// nights so. They are told again from the records, the latest first, beside the daemon's
// loop: a year of nights takes minutes.

// untoldName is the file that says from when on nights are untold, while some are being
// told: the latest page, which says so else, is the first that is written.
const untoldName = ".sizewright/untold"

// untold is that file's content.
type untold struct {
	From time.Time `json:"from"` // finished then or later, and told in no page
}

// telling writes the pages of nights that were left untold.
type telling struct {
	*worker
	config *config.Config

	from    time.Time // of what was finished then or later there is no page
	resumed bool      // an earlier run began to tell it
	latest  string    // the date of the latest night there is
	wrote   []string  // pages, the latest first

	mu    sync.Mutex // guards what follows
	since time.Time  // when the telling began, by the clock of the disk; zero before
	over  bool       // all is told
}

// newTelling finds out from when on nights are untold, and is to be asked before this run
// writes a page of its own.
func (w *worker) newTelling() *telling {
	t := &telling{worker: w, config: w.configuration()}
	t.from, t.since = t.left()
	t.resumed = !t.since.IsZero()
	return t
}

// run writes the pages of untold nights until ctx ends, and then goes on at the next start
// where it was. What this run makes is told by its own reports.
func (t *telling) run(ctx context.Context) {
	defer t.tells("", 0)
	err := t.tell(ctx)
	switch {
	case ctx.Err() != nil:
		t.Log.Info("the rest of earlier nights is told at the next start", zap.Strings("pages", t.wrote))
	case err != nil:
		t.Log.Error("earlier nights were not told", zap.Error(err))
	case len(t.wrote) > 0:
		t.Log.Info("told of what an earlier run made before it ended", zap.Strings("pages", t.wrote))
	}
}

func (t *telling) tell(ctx context.Context) error {
	calendar := calendarOf(t.config, t.Now().Location())
	begin := t.from
	if !begin.IsZero() { // the night's page tells of all of it
		var err error
		if begin, err = calendar.Begin(calendar.Night(t.from)); err != nil {
			return err
		}
	}
	reader := record.Reader{Root: t.Studio.Root(), Beat: t.retelling.beat}
	if err := reader.Each(ctx, calendar, begin, func(n record.Night) error { return t.night(ctx, n) }); err != nil {
		return err
	}
	if len(t.wrote) > 0 || t.resumed {
		if err := t.index(ctx, reader, calendar); err != nil {
			return err
		}
	}
	return t.end()
}

// left is from when on nights are untold, and when an earlier run began to tell them, if so.
func (t *telling) left() (from, since time.Time) {
	file := filepath.Join(t.Studio.Root(), untoldName)
	if data, err := os.ReadFile(file); err == nil {
		var u untold
		if info, err := os.Stat(file); err == nil && json.Unmarshal(data, &u) == nil {
			return u.From, info.ModTime()
		}
	}
	return t.written(latestPage), time.Time{}
}

// written is when a page was written, zero if there is none.
func (t *telling) written(page string) time.Time {
	info, err := os.Stat(filepath.Join(t.Studio.Root(), page))
	if err != nil {
		return time.Time{}
	}
	return info.ModTime()
}

// begin notes that nights may be untold, until all are told. To be called before a page is
// written that would say otherwise.
func (t *telling) begin() error {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.over || !t.since.IsZero() {
		return nil
	}
	data, err := json.Marshal(untold{t.from})
	if err != nil {
		return err
	}
	if err := t.Studio.WriteFile(untoldName, append(data, '\n')); err != nil {
		return err
	}
	t.since = t.written(untoldName)
	return nil
}

// began is when the telling began, in this run or an earlier one.
func (t *telling) began() time.Time {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.since
}

// end notes that all is told.
func (t *telling) end() error {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.over = true
	if t.since.IsZero() {
		return nil
	}
	return t.Studio.RemoveFile(untoldName)
}

// night writes the page of a night, unless somebody has.
func (t *telling) night(ctx context.Context, n record.Night) error {
	t.latest = max(t.latest, n.Date)
	last := t.lastUntold(n)
	if last.IsZero() || t.isTold(n.Date, last) || t.reported(n.Date) {
		return nil
	}
	if len(t.wrote) == 0 {
		t.Log.Info("writing the pages of earlier nights, which were not told", zap.Time("from", t.from))
	}
	if err := t.begin(); err != nil {
		return err
	}
	t.tells(n.Date, len(t.wrote))
	before := t.written(morningDir + n.Date + ".html")
	made, err := makePages(ctx, &report.Night{Night: n, Units: t.config.Units}, report.Making{Root: t.Studio.Root(), Workers: max(runtime.GOMAXPROCS(0)/2, 1), Beat: t.retelling.beat})
	if err != nil {
		return err
	}
	t.onPage(ctx, n.Date)
	if err := ctx.Err(); err != nil {
		return err
	}
	t.pages.writing.Lock()
	defer t.pages.writing.Unlock()
	if t.pages.told[n.Date] || !t.written(made.page()).Equal(before) {
		return nil // a report has come meanwhile, and says more
	}
	if err := made.write(t.Studio, n.Date == t.latest && len(t.pages.told) == 0); err != nil {
		return err
	}
	t.wrote = append(t.wrote, made.page())
	return nil
}

// lastUntold is when the last of what an earlier run left untold of a night was finished.
func (t *telling) lastUntold(n record.Night) (last time.Time) {
	for _, e := range n.Records {
		if done := e.Record.Times.Finished; !done.Before(t.from) && done.Before(t.started) && done.After(last) {
			last = done
		}
	}
	return last
}

// isTold tells whether the telling that was interrupted has come to a night.
func (t *telling) isTold(date string, last time.Time) bool {
	page := t.written(morningDir + date + ".html")
	began := t.began()
	return !began.IsZero() && !page.Before(began) && !page.Before(last) && (date != t.latest || !t.written(latestPage).IsZero())
}

// reported tells whether this run has written a night's page itself.
func (t *telling) reported(date string) bool {
	t.pages.writing.Lock()
	defer t.pages.writing.Unlock()
	return t.pages.told[date]
}

// Telling is what a daemon says of earlier nights that it writes the pages of.
type Telling struct {
	Night  string `json:"night"`  // whose page it is at, 2026-03-14
	Before int    `json:"before"` // pages that were written before it
}

// tells notes which night's page is being written, "" for none.
func (w *worker) tells(night string, before int) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.atNight = nil
	if night != "" {
		w.atNight = &Telling{night, before}
	}
}
