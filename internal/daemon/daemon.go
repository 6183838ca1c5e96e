// Package daemon ties the rooms together: what waits in the drop folders is claimed,
// decided, made, recorded and published, and the morning report is written when the queue
// runs dry.
//
// [Once] makes what waits and returns; [Serve] goes on until its context ends. Both hold
// the studio, which refuses a second daemon, while they run, and first put right whatever
// an earlier run left behind. What they share is a [run]; each of its parts guards itself.
//
// An order in hand is a [job], a goroutine of its own: it is read, measured, put on the
// press and published (foresee.go, job.go, press.go, ending.go). It knows its claim, its
// desk and its record, and the few things of the run that it is given. It ends in one of
// four ways: made, held (the picture's doing: a record says why), returned to its drop
// folder (a fault that is not the picture's, no room on the disk, or a stop in mid-print),
// or recognised as made already. One order is on the press at a time, with every core on
// its bands, while the next is read and the one before is brought to disk: see [slots].
//
// One goroutine decides, [loop]: what is whole comes to it from package intake and waits
// in a [queue] for its turn. Nothing that takes long runs on it. Whether the daemon gets
// on is judged by its orders' own progress ([tracker], [watchdog]).
package daemon

import (
	"context"
	"os"
	"runtime"
	"sync"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/config"
	"sizewright/internal/intake"
	"sizewright/internal/machines"
	"sizewright/internal/photo"
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
	onOpen  func(*run)                              // sees the run before it begins; for tests
	onPage  func(ctx context.Context, night string) // hears of each page of earlier nights, made and not yet written; for tests
}

// Progress hears of the work as it goes, of up to three orders at once. Its methods
// are called one at a time.
type Progress interface {
	Started(folder, name string)
	Rendering(folder, name string, done, total int) // bands
	Ended(e record.Entry)
	Failed(f record.Fault)
	Waiting(orders int, takes time.Duration) // what is still to be made, in hand or not, and about how long that takes
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

// run is one run over a studio: what Once and Serve share.
type run struct {
	Options
	started  time.Time
	settings settings
	night    *nightLog
	tracker  *tracker
	slots    slots
	printing keyLock // by [record.Key], of orders in hand
	known    *known
	machines *machines.Owner // nil without other machines

	shortages  shortages
	unfinished unfinished
	rechecks   *rechecks
	moved      moved
	editions   editions
	tidying    tidying

	album      report.Album // of the pages of this run
	pages      pages
	reporting  heartbeat // of this run's own report
	backfilled heartbeat // of the pages of earlier nights

	statusMu sync.Mutex // guards status
	status   Status     // what the parts above do not know
}

// open takes the studio and puts right what an earlier run left. What that made is read
// beside whatever comes next, until ctx ends.
func open(ctx context.Context, o Options) (r *run, leave func(), err error) {
	o = o.withDefaults()
	unlock, err := o.Studio.Lock()
	if err != nil {
		return nil, nil, err
	}
	r = &run{
		Options: o, started: o.Now(), slots: newSlots(), pages: pages{told: map[string]bool{}},
		tracker:  &tracker{to: o.Progress, now: o.Now},
		rechecks: &rechecks{root: o.Studio.Root(), writers: o.writers, log: o.Log},
	}
	r.known = newKnown(record.Reader{Root: o.Studio.Root(), Beat: r.tracker.beat, Passed: func(path string, why error) {
		o.Log.Warn("a record that does not count", zap.String("record", path), zap.String("why", why.Error()))
	}})
	r.editions = editions{studio: o.Studio, known: r.known, now: o.Now}
	r.night = &nightLog{log: o.Log, now: o.Now, date: r.dateOf, night: record.Night{Started: r.started}}
	r.configure(o.Config)
	if r.settings.desk().Limits != o.Config.Limits {
		o.Log.Info("decoding is kept within what memory this process may have; larger pictures are held", zap.Int64("bytes", o.Memory))
	}
	r.recovered(o.Studio.Recover())
	r.reach(o.Config)
	quiet, forget := r.sayStatus(), r.known.begin(ctx)
	if o.onOpen != nil {
		o.onOpen(r)
	}
	return r, func() { forget(); quiet(); r.machines.Close(); unlock() }, nil
}

// recovered tells what became of claims that nobody had in hand any more. What cannot be
// put right now is as safe as it was, so it is told and the night goes on.
func (r *run) recovered(all []studio.Recovered, err error) {
	for _, x := range all {
		if x.Kind == studio.TakenOver {
			r.Log.Info("upgraded", zap.String("what", x.Text))
			r.night.note(record.Left{Name: ".sizewright", Text: x.Text})
			continue
		}
		r.Log.Warn("put right after an earlier stop", zap.String("kind", string(x.Kind)), zap.String("what", x.Text))
		if x.Kind == studio.Returned {
			if err := r.editions.free(x.ID); err != nil {
				r.Log.Error("the numbers of an order that was given up stay given", zap.Error(err))
			}
		}
		if x.Kind == studio.Left {
			name := x.Name
			if x.Folder == "" { // it lies where no person looks
				name = ".sizewright"
			}
			r.night.leave(record.Left{Folder: x.Folder, Name: name, Text: x.Text})
		}
	}
	if err != nil {
		r.Log.Error("not all could be put right after an earlier stop", zap.Error(err))
		r.night.fault(record.FaultFor("", "", err))
	}
}

func (r *run) cores() int {
	if n := r.configuration().Cores; n > 0 {
		return n
	}
	return runtime.GOMAXPROCS(0)
}
