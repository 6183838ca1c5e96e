package daemon

import (
	"context"
	"time"

	"github.com/coreos/go-systemd/v22/daemon"
	"go.uber.org/zap"

	"sizewright/internal/intake"
	"sizewright/internal/morning"
)

// reportAfter is how long the queue must have been dry before the report is
// written.
const reportAfter = 2 * time.Second

// Serve makes whatever is dropped, until ctx ends. The print in hand is then
// given up and its original returned to its drop folder, which takes no
// longer than one band. The error is for what stops the daemon, a cancelled
// ctx not included.
func Serve(ctx context.Context, o Options) error {
	w, unlock, err := open(o)
	if err != nil {
		return err
	}
	defer unlock()
	watcher := intake.New(w.Studio.Drop(), w.intake())
	queue := make(chan intake.Candidate)
	go watcher.Run(ctx, queue)
	tell(w.Log, daemon.SdNotifyReady)
	defer tell(w.Log, daemon.SdNotifyStopping)
	w.Log.Info("serving", zap.String("studio", w.Studio.Root()))
	w.serve(ctx, queue, watcher)
	w.Log.Info("stopped")
	return nil
}

// attempted is a candidate whose order has come to an end.
type attempted struct {
	intake.Candidate
	again bool
}

// serve takes candidates as they come, a few at a time; a pause after the last one
// ends a run of work with a report.
func (w *worker) serve(ctx context.Context, queue <-chan intake.Candidate, watcher *intake.Watcher) {
	var dry <-chan time.Time // nil while there is nothing to report
	ended, orders := make(chan attempted), 0
	for {
		more := queue
		if orders == inHand {
			more = nil
		}
		select {
		case <-ctx.Done():
			for range orders {
				<-ended
			}
			if dry != nil || orders > 0 {
				w.endRun(ctx, watcher)
			}
			return
		case c := <-more:
			if dry == nil && orders == 0 {
				w.newNight()
			}
			dry = nil
			orders++
			go func() { ended <- attempted{c, w.attempt(ctx, c)} }()
		case e := <-ended:
			orders--
			if e.again {
				watcher.Forget(e.Folder, e.Name) // offered again at the next rescan
			}
			if orders == 0 {
				dry = time.After(reportAfter)
			}
		case <-dry:
			dry = nil
			w.endRun(ctx, watcher)
		}
	}
}

// endRun writes the report of the work since the queue last ran dry.
func (w *worker) endRun(ctx context.Context, watcher *intake.Watcher) {
	w.lookAround(watcher.Oddities())
	page, err := w.report(ctx)
	if err != nil {
		w.Log.Error("no morning report", zap.Error(err))
		return
	}
	w.Log.Info("morning report", zap.String("page", page))
}

func tell(log *zap.Logger, state string) {
	if _, err := daemon.SdNotify(false, state); err != nil {
		log.Warn("systemd was not told", zap.String("state", state), zap.Error(err))
	}
}

func zapFault(f morning.Fault) []zap.Field {
	return []zap.Field{zap.String("folder", f.Folder), zap.String("name", f.Name), zap.String("what", f.Text)}
}
