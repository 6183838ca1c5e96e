package daemon

import (
	"context"
	"errors"
	"fmt"
	"time"

	"golang.org/x/sync/errgroup"

	"sizewright/internal/intake"
	"sizewright/internal/morning"
	"sizewright/internal/render"
	"sizewright/internal/studio"
)

// Result is what a run came to.
type Result struct {
	Night *morning.Night // of this run alone
	Page  string         // the morning page, from the studio's root
}

// Once makes what waits in the drop folders, writes the morning report and
// returns. A fault in one order does not stop the rest; it is in the night's
// Faults. The error is for what stops the whole run, a cancelled ctx included.
func Once(ctx context.Context, o Options) (*Result, error) {
	w, unlock, err := open(o)
	if err != nil {
		return nil, err
	}
	defer unlock()
	waiting, odd, err := intake.Settled(ctx, w.Studio.Drop(), w.intake())
	if err != nil {
		return nil, fmt.Errorf("looking into the drop folders: %w", err)
	}
	w.lookAround(odd)
	var all errgroup.Group
	all.SetLimit(inHand)
	for _, c := range waiting {
		if ctx.Err() != nil {
			break
		}
		all.Go(func() error { w.attempt(ctx, c); return nil })
	}
	_ = all.Wait() // attempts note their own faults
	page, err := w.report(ctx)
	if err == nil && ctx.Err() != nil {
		err = fmt.Errorf("stopped before the end: %w", ctx.Err())
	}
	return &Result{Night: &w.night, Page: page}, err
}

// attempt makes one order and notes a fault. It tells whether the file went
// back to its drop folder and is to be tried again later.
func (w *worker) attempt(ctx context.Context, c intake.Candidate) (again bool) {
	err := w.make(ctx, c)
	switch {
	case err == nil, ctx.Err() != nil:
		return false
	case errors.Is(err, studio.ErrChanged):
		w.leave(morning.Left{Folder: c.Folder, Name: c.Name, Text: err.Error()})
		return true
	}
	f := morning.Fault{Folder: c.Folder, Name: c.Name, Text: err.Error()}
	w.mu.Lock()
	w.night.Faults = append(w.night.Faults, f)
	w.mu.Unlock()
	w.Log.Error("fault", zapFault(f)...)
	w.Progress.Failed(f)
	return true
}

// leastSettle stands for a settle time of 0: two looks must be apart.
const leastSettle = 10 * time.Millisecond

// intake is how drop folders are looked at.
func (w *worker) intake() intake.Options {
	return intake.Options{Settle: max(w.Config.Settle, leastSettle), Rescan: w.Config.Rescan, Log: w.Log, Now: w.Now}
}

// lookAround notes what the drop folders hold that no print is made of: odd
// entries, and folders whose names are no sizes.
func (w *worker) lookAround(odd []intake.Oddity) {
	for _, x := range odd {
		if x.Kind != intake.KindLitter {
			w.leave(morning.Left{Folder: x.Folder, Name: x.Name, Text: x.Text})
		}
	}
	folders, _, err := w.Studio.DropFolders()
	if err != nil {
		return // the look has said so already
	}
	for _, f := range folders {
		if _, err := render.NewOrder(f, w.Config); err != nil {
			w.leave(morning.Left{Folder: f, Text: err.Error()})
		}
	}
}
