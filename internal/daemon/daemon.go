// Package daemon ties the rooms together: what waits in the drop folders is
// claimed, planned, made, recorded and published, and the morning report is
// written when the queue runs dry. One order is on the press at a time, with every
// core on its bands, while the next is read and the one before is brought safely to
// disk: see [places].
//
// [Once] makes what waits and returns; [Serve] goes on until its context ends.
// Both hold the studio's lock while they run and first put right whatever an
// earlier run left behind. An order ends in one of four ways: made, held (the
// picture's doing: a record says why), returned to its drop folder (a fault
// that is not the picture's, or a stop in mid-print), or recognised as made
// already.
package daemon

import (
	"fmt"
	"runtime"
	"slices"
	"sync"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/morning"
	"sizewright/internal/photo"
	"sizewright/internal/render"
	"sizewright/internal/studio"
)

// Options are what a run is given.
type Options struct {
	Studio   *studio.Studio
	Config   *config.Config
	Log      *zap.Logger // nil for none
	Progress Progress    // nil for none
	Now      func() time.Time
}

// Progress hears of the work as it goes, of up to three orders at once. Its methods
// are called one at a time.
type Progress interface {
	Started(folder, name string)
	Rendering(folder, name string, done, total int) // bands
	Ended(e morning.Entry)
	Failed(f morning.Fault)
}

// worker is one run over a studio.
type worker struct {
	Options
	limits photo.Limits
	places places

	mu     sync.Mutex               // guards what follows
	made   map[string]morning.Entry // by identity, to recognise an order
	turns  map[string]*turn         // by identity, of orders in hand
	papers map[string]paper         // by profile and working space, read once
	night  morning.Night            // this run's own
}

// open takes the studio's lock and puts right what an earlier run left.
func open(o Options) (w *worker, unlock func(), err error) {
	if o.Log == nil {
		o.Log = zap.NewNop()
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Progress == nil {
		o.Progress = silent{}
	}
	o.Progress = &oneAtATime{to: o.Progress}
	unlock, err = o.Studio.Lock()
	if err != nil {
		return nil, nil, err
	}
	w = &worker{Options: o, limits: photo.DefaultLimits(), places: newPlaces(),
		turns: map[string]*turn{}, papers: map[string]paper{}}
	w.newNight()
	w.recover()
	if w.made, err = morning.Index(o.Studio.Root()); err != nil {
		unlock()
		return nil, nil, fmt.Errorf("reading earlier records: %w", err)
	}
	return w, unlock, nil
}

// recover puts right what an earlier run left. What cannot be put right now is
// as safe as it was, so it is told and the night goes on.
func (w *worker) recover() {
	all, err := w.Studio.Recover()
	for _, r := range all {
		w.Log.Warn("put right after an earlier stop", zap.String("kind", string(r.Kind)), zap.String("what", r.Text))
		if r.Kind == studio.Left {
			w.leave(morning.Left{Folder: r.Folder, Name: r.Name, Text: r.Text})
		}
	}
	if err != nil {
		w.Log.Error("not all could be put right after an earlier stop", zap.Error(err))
		w.night.Faults = append(w.night.Faults, morning.Fault{Text: err.Error()})
	}
}

func (w *worker) newNight() {
	w.night = morning.Night{Started: w.Now()}
}

func (w *worker) cores() int {
	if w.Config.Workers > 0 {
		return w.Config.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// paper is a stock's profile as it was read, or why it was not.
type paper struct {
	output render.Output
	err    error
}

// output is what a drop folder's settings do with colours.
func (w *worker) output(s config.Settings) (render.Output, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	key := s.Profile + "\n" + s.WorkingSpace
	p, ok := w.papers[key]
	if !ok {
		p.output, p.err = render.NewOutput(s, w.Studio.Root())
		w.papers[key] = p
	}
	if p.output.Profile != nil {
		p.output.Intent, p.output.BlackPoint = colour.Intent(s.Intent), s.BlackPointCompensation
	}
	return p.output, p.err
}

// leave notes what was left alone in the drop folders, once each.
func (w *worker) leave(l morning.Left) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if slices.Contains(w.night.Left, l) {
		return
	}
	w.night.Left = append(w.night.Left, l)
	w.Log.Warn("left alone", zap.String("folder", l.Folder), zap.String("name", l.Name), zap.String("why", l.Text))
}

type silent struct{}

func (silent) Started(string, string)             {}
func (silent) Rendering(string, string, int, int) {}
func (silent) Ended(morning.Entry)                {}
func (silent) Failed(morning.Fault)               {}

// oneAtATime passes on what orders in hand say of themselves.
type oneAtATime struct {
	mu sync.Mutex
	to Progress
}

func (o *oneAtATime) Started(folder, name string) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.to.Started(folder, name)
}

func (o *oneAtATime) Rendering(folder, name string, done, total int) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.to.Rendering(folder, name, done, total)
}

func (o *oneAtATime) Ended(e morning.Entry) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.to.Ended(e)
}

func (o *oneAtATime) Failed(f morning.Fault) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.to.Failed(f)
}

var _ Progress = silent{}
