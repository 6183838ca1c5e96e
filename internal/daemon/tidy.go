package daemon

import (
	"context"
	"sync"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/printed"
	"sizewright/internal/record"
)

// tidyEvery is how often the outbox is tidied.
const tidyEvery = time.Hour

// tidying removes what was printed long enough ago.
type tidying struct {
	last  time.Time
	stays map[string]bool // told of by this run

	mu    sync.Mutex
	asked map[string]bool // by their records' paths, prints that this run was asked for again
}

// askedAgain notes an order for a print that was printed before: it stays.
func (t *tidying) askedAgain(of string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.asked == nil {
		t.asked = map[string]bool{}
	}
	t.asked[of] = true
}

func (t *tidying) isAsked(of string) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.asked[of]
}

// tidy removes the TIFFs of prints that were printed longer ago than the configuration
// keeps them. Who makes the same print at that moment is waited for.
func (r *run) tidy(ctx context.Context) {
	t, keep, now := &r.tidying, r.configuration().Keep, r.Now()
	if keep == 0 || !t.last.IsZero() && now.Sub(t.last) < tidyEvery {
		return
	}
	t.last = now
	_, done, err := printed.Look(ctx, r.Studio)
	if err != nil {
		r.Log.Error("the outbox could not be tidied", zap.Error(err))
		return
	}
	for _, d := range printed.Older(done, now, keep) {
		if err := r.removePrinted(ctx, d, now); err != nil && ctx.Err() == nil && !t.stays[d.File] {
			if t.stays == nil {
				t.stays = map[string]bool{}
			}
			t.stays[d.File] = true
			r.Log.Warn("a printed print stays", zap.String("why", err.Error()))
			r.night.note(record.Left{Folder: "outbox", Name: d.File, Text: err.Error()})
		}
	}
}

func (r *run) removePrinted(ctx context.Context, d printed.Done, now time.Time) error {
	unlock, err := r.printing.lock(ctx, record.Key(&d.Of.Record))
	if err != nil {
		return err
	}
	defer unlock()
	if r.tidying.isAsked(d.Of.Path) {
		return nil
	}
	if err := printed.Remove(ctx, r.Studio, d, now.Truncate(time.Second)); err != nil {
		return err
	}
	r.Log.Info("removed once printed", zap.String("file", d.File), zap.Int64("bytes", d.Bytes))
	return nil
}
