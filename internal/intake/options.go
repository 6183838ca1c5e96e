package intake

import (
	"time"

	"go.uber.org/zap"
)

// Options say how to look.
type Options struct {
	// Settle is how long a file must have stayed the same. 0 means DefaultSettle.
	Settle time.Duration
	// Rescan is the longest time between two looks of a Watcher. 0 means
	// DefaultRescan. Where there are no events, it is how long a file can lie
	// unnoticed.
	Rescan time.Duration
	// Whole, if set, has the last word on a steady file. It may read the file,
	// and is called from one goroutine. Where it says no, the file must settle
	// again before it is asked again.
	Whole func(Candidate) bool
	// Log gets what happens; nil means nowhere.
	Log *zap.Logger
	// Now is the clock; nil means time.Now.
	Now func() time.Time
}

// Defaults: common practice, no source.
const (
	DefaultSettle = 3 * time.Second
	DefaultRescan = time.Minute
)

func (o Options) withDefaults() Options {
	if o.Settle <= 0 {
		o.Settle = DefaultSettle
	}
	if o.Rescan <= 0 {
		o.Rescan = DefaultRescan
	}
	if o.Log == nil {
		o.Log = zap.NewNop()
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	return o
}

// glance is the shortest time between two looks: often enough to see a file
// change within Settle, seldom enough to leave the disk to the copying.
func (o Options) glance() time.Duration { return min(o.Settle/4, time.Second) }
