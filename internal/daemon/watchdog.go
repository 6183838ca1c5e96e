package daemon

import (
	"sync/atomic"
	"time"

	"github.com/coreos/go-systemd/v22/daemon"
	"go.uber.org/zap"
)

// watchdog tells systemd that the daemon gets on. It is fed only when something
// shows it: of all that it works at (orders in hand, a report, the pages of earlier
// nights) each must have got on since the last time (a stage, a band, a record read), and
// the drop folders must have been looked at as often as they are to be. A daemon that
// hangs, however lively its other goroutines, is then started anew, and what it had in
// hand goes back to the drop folders.
type watchdog struct {
	every time.Duration // 0: nobody asks
	feed  func()

	fed   time.Time
	beats []uint64 // of each work
}

// heartbeat beats whenever a work gets on.
type heartbeat struct{ beats atomic.Uint64 }

func (h *heartbeat) beat() { h.beats.Add(1) }

// work is one of the things that a daemon works at, always in the same order.
type work struct {
	going bool
	beats uint64
}

func (h *heartbeat) work(going bool) work { return work{going, h.beats.Load()} }

// newWatchdog asks the environment whether systemd watches this process.
func newWatchdog(log *zap.Logger) *watchdog {
	limit, err := daemon.SdWatchdogEnabled(false)
	if err != nil {
		log.Warn("systemd's watchdog is not understood", zap.Error(err))
	}
	return &watchdog{every: limit / 4, feed: func() { sdNotify(log, daemon.SdNotifyWatchdog) }}
}

// check is called every second or so. lookBefore is when the drop folders should have
// been looked at again, at the latest.
func (d *watchdog) check(now, looked, lookBefore time.Time, works ...work) {
	if d.every == 0 || now.Sub(d.fed) < d.every || looked.Before(lookBefore) {
		return
	}
	if d.beats == nil {
		d.beats = make([]uint64, len(works))
	}
	for i, w := range works {
		if w.going && w.beats == d.beats[i] {
			return
		}
	}
	for i, w := range works {
		d.beats[i] = w.beats
	}
	d.fed = now
	d.feed()
}
