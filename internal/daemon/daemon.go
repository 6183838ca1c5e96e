// Package daemon ties the rooms together: what waits in the drop folders is
// claimed, planned, made, recorded and published, and the morning report is
// written when the queue runs dry. One order is on the press at a time, with every
// core on its bands, while the next is read and the one before is brought safely to
// disk: see [places].
//
// [Once] makes what waits and returns; [Serve] goes on until its context ends.
// Both hold the studio, which refuses a second daemon, while they run, and first put
// right whatever an earlier run left behind. An order ends in one of four
// ways: made, held (the picture's doing: a record says why), returned to its drop
// folder (a fault that is not the picture's, no room on the disk, or a stop in
// mid-print), or recognised as made already.
//
// One goroutine decides, [loop]: what is whole comes to it from package intake and
// waits in a [queue] for its turn; each order in hand is a goroutine of its own that
// reports its end. Whether the daemon gets on is judged by its orders' own progress
// ([hand], [watchdog]).
package daemon

import (
	"context"
	"fmt"
	"os"
	"runtime"
	"slices"
	"sync"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/config"
	"sizewright/internal/intake"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/plaintext"
	"sizewright/internal/record"
	"sizewright/internal/report"
	"sizewright/internal/studio"
)

// Options are what a run is given.
type Options struct {
	Studio   *studio.Studio
	Config   *config.Config
	Log      *zap.Logger // nil for none
	Progress Progress    // nil for none
	Now      func() time.Time

	// Decode is how a picture is decoded; nil is [photo.Open], in this process.
	Decode func(ctx context.Context, path string, lim photo.Limits) (*photo.Photo, error)
	// Reload has Serve read the configuration again; nil for never.
	Reload <-chan os.Signal
	// Notify is a program, by its absolute path, that is given each report's JSON on its
	// standard input; "" is none. It is not for the studio's own configuration to name:
	// whoever may drop pictures could have it run anything.
	Notify string
	// Memory is all that decoding may take, in bytes, whatever the configuration says,
	// such as a share of a control group's; 0 for no such bound.
	Memory int64

	free    func() (uint64, error)                  // room on the disk; tests have their own
	writers func(path string) intake.Writers        // likewise
	onPage  func(ctx context.Context, night string) // hears of each page of earlier nights, made and not yet written; for tests
}

// Progress hears of the work as it goes, of up to three orders at once. Its methods
// are called one at a time.
type Progress interface {
	Started(folder, name string)
	Rendering(folder, name string, done, total int) // bands
	Ended(e record.Entry)
	Failed(f record.Fault)
}

// worker is one run over a studio.
type worker struct {
	Options
	places places
	hand   *hand

	started time.Time
	prints  record.Prints // to recognise an order
	learned chan struct{} // closed when what earlier runs made is known, or cannot be
	unread  error         // why it cannot be, once learned is closed

	pages     pages
	reporting pulse // of this run's own report
	retelling pulse // of the pages of earlier nights

	mu        sync.Mutex       // guards what follows, and Config
	turns     map[string]*turn // by identity, of orders in hand
	shortages map[identity]int // how often an order's decoding was ended by the system
	album     *report.Album    // of its pages
	orders    *order.Desk      // decides by Config
	night     record.Night     // this run's own
	logged    []record.Left    // of the night before

	mistake record.Left    // in the configuration that was not taken, if so
	undone  []func() error // ends of orders that are decided, to be tried again

	doubtful []*doubt // originals to be looked at again

	queued  int       // as [Doing] says
	resting time.Time //
	stays   []Stay    //
	atNight *Telling  //
}

// open takes the studio and puts right what an earlier run left. What that made is read
// beside whatever comes next, until ctx ends.
func open(ctx context.Context, o Options) (w *worker, leave func(), err error) {
	o = o.withDefaults()
	unlock, err := o.Studio.Lock()
	if err != nil {
		return nil, nil, err
	}
	w = &worker{Options: o, places: newPlaces(), hand: &hand{to: o.Progress, now: o.Now}, started: o.Now(),
		learned: make(chan struct{}), pages: pages{told: map[string]bool{}},
		turns: map[string]*turn{}, shortages: map[identity]int{}, album: &report.Album{}}
	w.orders = w.newDesk(w.Config)
	if w.orders.Limits != w.Config.Limits {
		w.Log.Info("decoding is kept within what memory this process may have; larger pictures are held", zap.Int64("bytes", w.Memory))
	}
	w.nextNight()
	w.warn()
	w.putRight(w.Studio.Recover())
	quiet, forget := w.tellDoing(), w.beginToLearn(ctx)
	return w, func() { forget(); quiet(); unlock() }, nil
}

// beginToLearn has the records of what was made read, of which there may be years' worth,
// until stop is called.
func (w *worker) beginToLearn(ctx context.Context) (stop func()) {
	ctx, cancel := context.WithCancel(ctx)
	go func() {
		defer close(w.learned)
		w.unread = w.learn(ctx)
	}()
	return func() { cancel(); <-w.learned }
}

// learn reads the records of what was made and is not known yet.
func (w *worker) learn(ctx context.Context) error {
	err := w.prints.Learn(ctx, record.Reader{Root: w.Studio.Root(), Beat: w.hand.beat, Passed: func(path string, why error) {
		w.Log.Warn("a record that does not count", zap.String("record", path), zap.String("why", why.Error()))
	}})
	if err != nil {
		return fmt.Errorf("reading earlier records: %w", err)
	}
	return nil
}

func (o Options) withDefaults() Options {
	if o.Log == nil {
		o.Log = zap.NewNop()
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Progress == nil {
		o.Progress = silent{}
	}
	if o.Decode == nil {
		o.Decode = func(_ context.Context, path string, lim photo.Limits) (*photo.Photo, error) {
			return photo.Open(path, lim)
		}
	}
	if o.onPage == nil {
		o.onPage = func(context.Context, string) {}
	}
	if o.free == nil {
		o.free = o.Studio.Free
	}
	if o.writers == nil {
		o.writers = intake.WritersOf
	}
	return o
}

// warn logs the configuration's keys of earlier versions. The reports name them too.
func (w *worker) warn() {
	for _, p := range w.Config.Warnings {
		w.Log.Warn("the configuration has a key that is gone: " + p.Warning())
	}
}

// putRight tells what became of claims that nobody had in hand any more. What cannot
// be put right now is as safe as it was, so it is told and the night goes on.
func (w *worker) putRight(all []studio.Recovered, err error) {
	for _, r := range all {
		if r.Kind == studio.TakenOver {
			w.Log.Info("upgraded", zap.String("what", r.Text))
			w.note(record.Left{Name: ".sizewright", Text: r.Text})
			continue
		}
		w.Log.Warn("put right after an earlier stop", zap.String("kind", string(r.Kind)), zap.String("what", r.Text))
		if r.Kind == studio.Left {
			name := r.Name
			if r.Folder == "" { // it lies where no person looks
				name = ".sizewright"
			}
			w.leave(record.Left{Folder: r.Folder, Name: name, Text: r.Text})
		}
	}
	if err != nil {
		w.Log.Error("not all could be put right after an earlier stop", zap.Error(err))
		w.fault(record.Fault{Text: plaintext.Error(err)})
	}
}

// nextNight begins anew what there is to tell, and returns what there was. It needs w.mu.
func (w *worker) nextNight() (before record.Night) {
	before = w.night
	w.logged = w.night.Left
	w.night = record.Night{Started: w.Now()}
	return before
}

// stillNight puts a night back that could not be told, before what there is to tell by now.
func (w *worker) stillNight(before record.Night) {
	w.mu.Lock()
	defer w.mu.Unlock()
	now := w.night
	w.night = before
	w.night.Records = append(w.night.Records, now.Records...)
	for _, l := range now.Left {
		if !slices.Contains(w.night.Left, l) {
			w.night.Left = append(w.night.Left, l)
		}
	}
	for _, f := range now.Faults {
		if !slices.Contains(w.night.Faults, f) {
			w.night.Faults = append(w.night.Faults, f)
		}
	}
}

// beginNight has the night's work begin now. What was noted since the last report,
// what an earlier run left for one, stays part of it.
func (w *worker) beginNight() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.night.Started = w.Now()
}

func (w *worker) cores() int {
	if n := w.configuration().Workers; n > 0 {
		return n
	}
	return runtime.GOMAXPROCS(0)
}

// leave notes what was left alone in the drop folders, once each, and logs it unless
// the report before told of it already.
func (w *worker) leave(l record.Left) {
	l.Text = plaintext.Line(l.Text)
	if w.note(l) && !slices.Contains(w.loggedBefore(), l) {
		w.Log.Warn("left alone", zap.String("folder", l.Folder), zap.String("name", l.Name), zap.String("why", l.Text))
	}
}

// note is leave for what others have logged. It tells whether that is new.
func (w *worker) note(l record.Left) (anew bool) {
	l.Text = plaintext.Line(l.Text)
	w.mu.Lock()
	defer w.mu.Unlock()
	if slices.Contains(w.night.Left, l) {
		return false
	}
	w.night.Left = append(w.night.Left, l)
	return true
}

func (w *worker) loggedBefore() []record.Left {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.logged
}

// fault notes what went wrong, once each.
func (w *worker) fault(f record.Fault) {
	f.Text = plaintext.Line(f.Text)
	w.mu.Lock()
	defer w.mu.Unlock()
	if !slices.Contains(w.night.Faults, f) {
		w.night.Faults = append(w.night.Faults, f)
	}
}

type silent struct{}

func (silent) Started(string, string)             {}
func (silent) Rendering(string, string, int, int) {}
func (silent) Ended(record.Entry)                 {}
func (silent) Failed(record.Fault)                {}
