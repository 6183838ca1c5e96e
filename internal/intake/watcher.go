package intake

import (
	"context"
	"sync"
	"time"

	"github.com/fsnotify/fsnotify"
	"go.uber.org/zap"
)

// Watcher goes on looking at a drop directory and offers each file once it is
// whole. Make one with New and call Run once.
type Watcher struct {
	drop   string
	o      Options
	events func(*zap.Logger) *events // newEvents outside tests

	// Run's own:
	tracker *tracker
	blind   bool // drop could not be read at the last look

	mu        sync.Mutex // guards what follows
	left      []LeftAlone
	looked    time.Time
	forgotten map[place]bool // to start over at the next rescan
}

// New makes a Watcher for a drop directory. It does not look yet.
func New(drop string, o Options) *Watcher {
	o = o.withDefaults(drop)
	return &Watcher{drop: drop, o: o, events: newEvents, tracker: newTracker(o), forgotten: map[place]bool{}}
}

// Run looks until ctx is done, and sends each file to out once it is whole. It
// looks at the start, after every event, at every rescan, and whenever a file
// may have settled. New drop folders are noticed, deleted ones forgotten. A
// drop directory that cannot be read is logged and tried again.
//
// While nobody receives from out, Run goes on looking: what is offered is what
// was there at the last look, the longest waiting first. A file is sent once;
// it is sent again if it changes, or goes and comes back, or after Forget.
func (w *Watcher) Run(ctx context.Context, out chan<- Candidate) {
	e := w.events(w.o.Log)
	defer e.close()
	rescan := time.NewTicker(w.o.Rescan)
	defer rescan.Stop()
	var p plan
	p.at(time.Now())
	defer p.stop()
	for {
		var offer chan<- Candidate // nil, so never ready, while there is nothing
		var first Candidate
		if len(p.ready) > 0 {
			offer, first = out, p.ready[0]
		}
		select {
		case <-ctx.Done():
			return
		case offer <- first:
			w.tracker.took(first)
			p.ready = p.ready[1:]
		case change, open := <-e.changes:
			if !open {
				e.changes = nil
			}
			e.moved(change)
			p.at(p.earliest)
		case err, open := <-e.faults:
			if !open {
				e.faults = nil
			}
			w.fault(err)
			p.at(p.earliest)
		case <-rescan.C:
			w.rescan()
			p.at(time.Now())
		case <-p.due():
			w.look(e, &p)
		}
	}
}

// look looks once, and plans the next.
func (w *Watcher) look(e *events, p *plan) {
	began := time.Now()
	defer w.haveLooked()
	e.follow(w.drop)
	files, left, err := Scan(w.drop)
	if err != nil {
		w.cannotLook(err)
		p.looked(nil, began, w.o.glance())
		return
	}
	if w.blind {
		w.o.Log.Info("the drop directory can be read again")
	}
	w.blind = false
	files, closed := movable(w.drop, files)
	left = append(left, closed...)
	now := w.o.Now()
	ready, next := w.tracker.look(files, now)
	w.onOffer(ready)
	w.tell(append(left, w.tracker.unfinished(now, w.o.StalledAfter)...))
	p.looked(ready, began, w.o.glance())
	if !next.IsZero() {
		p.at(time.Now().Add(max(next.Sub(now), time.Millisecond)))
	}
}

// onOffer ends the wish to forget these files, since they are offered anew. It does so
// before they are sent, because the consumer may call Forget as soon as it has one.
func (w *Watcher) onOffer(ready []Candidate) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, c := range ready {
		delete(w.forgotten, c.place())
	}
}

func (w *Watcher) rescan() {
	w.mu.Lock()
	defer w.mu.Unlock()
	for p := range w.forgotten {
		w.tracker.forget(p)
	}
	clear(w.forgotten)
}

// Forget has a file offered again, if it is still there at the next rescan and
// once it has settled anew. It is for a consumer that took a candidate and
// could not deal with it, or put it back.
func (w *Watcher) Forget(folder, name string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.forgotten[place{folder, name}] = true
}

// Looked is when the last look ended, whatever it saw; zero before the first.
// Looks are never further apart than Options.Rescan and as long as one takes,
// so a Watcher that has not looked for longer than that is stuck.
func (w *Watcher) Looked() time.Time {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.looked
}

func (w *Watcher) haveLooked() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.looked = time.Now()
}

// LeftAlone gives what the last look saw that is no photograph to be made. The
// slice is the caller's to read, not to change.
func (w *Watcher) LeftAlone() []LeftAlone {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.left
}

// tell keeps what is left alone for [Watcher.LeftAlone], and logs what was not there before.
func (w *Watcher) tell(left []LeftAlone) {
	w.mu.Lock()
	before := w.left
	w.left = left
	w.mu.Unlock()
	known := make(map[LeftAlone]bool, len(before))
	for _, o := range before {
		known[o] = true
	}
	for _, o := range left {
		switch {
		case known[o]:
		case o.Ignored():
			w.o.Log.Debug(o.Text)
		default:
			w.o.Log.Warn(o.Why(), zap.String("kind", o.Kind))
		}
	}
}

// cannotLook logs once, until a look succeeds again.
func (w *Watcher) cannotLook(err error) {
	if !w.blind {
		w.o.Log.Error(err.Error(), zap.Duration("again_within", w.o.Rescan))
	}
	w.blind = true
}

func (w *Watcher) fault(err error) {
	switch err {
	case nil: // closed
	case fsnotify.ErrEventOverflow:
		w.o.Log.Debug("more happened at once than the system could tell; looking afresh")
	default:
		w.o.Log.Warn("the events from the drop folders have a fault; looking afresh", zap.Error(err))
	}
}
