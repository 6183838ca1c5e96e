package daemon

import (
	"time"

	"github.com/coreos/go-systemd/v22/daemon"
	"go.uber.org/zap"
)

// watchdog tells systemd that the daemon gets on. It is fed only when something
// shows it: with orders in hand one of them must have got on since the last time
// (a stage, a band), and the drop folders must have been looked at as often as they
// are to be. A daemon that hangs, however lively its other goroutines, is then
// started anew, and what it had in hand goes back to the drop folders.
type watchdog struct {
	every time.Duration // 0: nobody asks
	feed  func()

	fed   time.Time
	beats uint64
}

// newWatchdog asks the environment whether systemd watches this process.
func newWatchdog(log *zap.Logger) *watchdog {
	limit, err := daemon.SdWatchdogEnabled(false)
	if err != nil {
		log.Warn("systemd's watchdog is not understood", zap.Error(err))
	}
	return &watchdog{every: limit / 4, feed: func() { tell(log, daemon.SdNotifyWatchdog) }}
}

// look is called every second or so. lookBefore is when the drop folders should have
// been looked at again, at the latest.
func (d *watchdog) look(now time.Time, orders int, beats uint64, looked, lookBefore time.Time) {
	switch {
	case d.every == 0, now.Sub(d.fed) < d.every:
		return
	case orders > 0 && beats == d.beats, looked.Before(lookBefore):
		return
	}
	d.fed, d.beats = now, beats
	d.feed()
}
