package daemon

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"sizewright/internal/intake"
	"sizewright/internal/order"
	"sizewright/internal/packing"
	"sizewright/internal/record"
	"sizewright/internal/report"
	"sizewright/internal/studio"
)

// Result is what a run came to.
type Result struct {
	Night *report.Night // of this run alone
	Page  string        // the morning page, from the studio's root
}

// Once makes what waits in the drop folders, writes the morning report and
// returns. A fault in one order does not stop the rest; it is in the night's
// Faults. The error is for what stops the whole run, a cancelled ctx included.
func Once(ctx context.Context, o Options) (*Result, error) {
	r, leave, err := open(ctx, o)
	if err != nil {
		return nil, err
	}
	defer leave()
	waiting, odd, err := intake.Settled(ctx, r.Studio.Drop(), r.intake())
	if err != nil {
		return nil, fmt.Errorf("looking into the drop folders: %w", err)
	}
	r.noteLeft(odd, r.night.leave)
	r.seeMoved(ctx)
	left, orders, ended := newLeftToMake(r, waiting), 0, make(chan struct{})
	for _, c := range waiting {
		for orders > 0 && orders >= r.mostInHand() {
			<-ended
			orders--
		}
		if ctx.Err() != nil {
			break
		}
		orders++
		go func() { r.attempt(ctx, c); left.made(c); ended <- struct{}{} }() // which notes its own faults
	}
	for range orders {
		<-ended
	}
	r.unfinished.retry()
	r.noteChanged(r.rechecks.read(ctx, r.rechecks.atEnd()))
	r.seeMoved(ctx)
	r.tidy(ctx)
	earlier := r.newBackfill()
	night := r.night.soFar()
	var page string
	var facts []byte
	if err = earlier.begin(); err == nil {
		page, facts, err = r.report(r.settings.addFaults(night), r.configuration())
	}
	if err == nil && facts != nil {
		r.notify(context.WithoutCancel(ctx), facts) // a stop must not keep the morning from being told
	}
	earlier.write(ctx)
	if err == nil && ctx.Err() != nil {
		err = fmt.Errorf("stopped before the end: %w", ctx.Err())
	}
	return &Result{Night: &report.Night{Night: night, Paper: packing.Of(night.Records)}, Page: page}, err
}

// leftToMake is what a run has still to make, for who watches it.
type leftToMake struct {
	run    *run
	mu     sync.Mutex
	orders int
	takes  time.Duration
}

func newLeftToMake(r *run, waiting []intake.Candidate) *leftToMake {
	l := &leftToMake{run: r}
	for _, c := range waiting {
		if takes := r.takes(c); takes > 0 { // else its folder's name is no size
			l.orders, l.takes = l.orders+1, l.takes+takes
		}
	}
	r.tracker.waiting(l.orders, l.takes)
	return l
}

// made takes one out.
func (l *leftToMake) made(c intake.Candidate) {
	takes := l.run.takes(c)
	if takes == 0 {
		return
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	l.orders, l.takes = max(0, l.orders-1), max(0, l.takes-takes)
	l.run.tracker.waiting(l.orders, l.takes)
}

// ending is how an attempt at an order came out.
type ending int

const (
	finished ending = iota // made, held, taken away, or stopped: nothing to be tried again
	altered                // it changed under way, and is taken again once it rests
	noRoom                 // it waits for room on the disk
	faulty                 // a fault that is not the picture's
)

// attempt makes one order and notes how it came out.
func (r *run) attempt(ctx context.Context, c intake.Candidate) outcome {
	err := r.make(ctx, c)
	var full *noRoomError
	switch {
	case err == nil, ctx.Err() != nil:
		return outcome{how: finished}
	case errors.Is(err, errNotWhole):
		return outcome{how: altered}
	case errors.Is(err, studio.ErrChanged):
		r.night.leave(record.LeftFor(c.Folder, c.Name, "changed", err))
		return outcome{how: altered}
	case errors.As(err, &full):
		left := record.LeftFor(c.Folder, c.Name, "no-room", err)
		r.night.leave(left)
		return outcome{noRoom, left.Text, left.Remedy, full.needs}
	}
	f := record.FaultFor(c.Folder, c.Name, err)
	r.night.fault(f)
	r.Log.Error("fault", zapFault(f)...)
	r.tracker.failed(f)
	return outcome{how: faulty, why: f.Text, remedy: f.Remedy}
}

// leastSettle stands for a settle time of 0: two looks must be apart.
const leastSettle = 10 * time.Millisecond

// intake is how drop folders are looked at.
func (r *run) intake() intake.Options {
	c := r.configuration()
	return intake.Options{Settle: max(c.Settle, leastSettle), Rescan: c.Rescan, StalledAfter: c.Stalled, Limits: c.Limits, Log: r.Log, Now: r.Now}
}

// noteLeft notes what the drop folders hold that no print is made of:
// what intake left alone, by tell, and folders whose names are no sizes.
func (r *run) noteLeft(left []intake.LeftAlone, tell func(record.Left)) {
	drop := r.Studio.Drop()
	litter, sidecars := map[string][]string{}, map[string][]string{}
	for _, x := range left {
		switch x.Kind {
		case intake.KindLitter:
			litter[x.Folder] = append(litter[x.Folder], x.Name)
		case intake.KindSidecar:
			sidecars[x.Folder] = append(sidecars[x.Folder], x.Name)
		default:
			tell(record.Left{Folder: x.Folder, Name: x.Name, Text: x.Text, Remedy: x.Remedy, Code: x.Kind, Pictures: x.Pictures(drop)})
		}
	}
	r.noteIgnored(litter, "what systems and programs leave beside files; ignored")
	r.noteIgnored(sidecars, "no photographs, but what lies beside them; ignored")
	folders, _, _ := intake.Folders(drop) // the look has told of an error already
	for _, f := range folders {
		if _, err := order.NewOrder(f.Path, r.configuration()); err != nil && !f.IsShelf() {
			r.night.leave(record.LeftInFolder(f.Path, len(f.Files), err))
		}
	}
}

// noteIgnored notes files that are no pictures, a folder's in one line.
func (r *run) noteIgnored(names map[string][]string, text string) {
	for _, folder := range slices.Sorted(maps.Keys(names)) {
		r.night.leave(record.Left{Folder: folder, Name: fewNames(names[folder]), Text: text, Litter: true})
	}
}

// mostNamed is how many are named in one line.
const mostNamed = 5

func fewNames(names []string) string {
	if n := len(names) - mostNamed; n > 0 {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:mostNamed], ", "), n)
	}
	return strings.Join(names, ", ")
}
