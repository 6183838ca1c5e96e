package intake

import (
	"cmp"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/photo"
)

// Options are the settings of a look.
type Options struct {
	// Settle is how long a file must have stayed the same. 0 means DefaultSettle.
	Settle time.Duration
	// Rescan is the longest time between two looks of a Watcher. 0 means
	// DefaultRescan. Where there are no events, it is how long a file can lie
	// unnoticed.
	Rescan time.Duration
	// StalledAfter is how long a file may be steady and not whole before it is
	// told as a LeftAlone. 0 means DefaultStalledAfter.
	StalledAfter time.Duration
	// Limits are those of the closer look at a file's end. Zero means
	// photo.DefaultLimits.
	Limits photo.Limits
	// Log gets what happens; nil means no log.
	Log *zap.Logger
	// Now is the clock; nil means time.Now.
	Now func() time.Time

	look func(Candidate) (*blanks, error) // the closer look; tests have their own
}

// Defaults: common practice, no source.
const (
	DefaultSettle = 3 * time.Second
	DefaultRescan = time.Minute
	// DefaultStalledAfter is longer than any pause of a copy that goes on.
	DefaultStalledAfter = 30 * time.Minute
)

// blindRest is how many settle times pass between the two looks at a file whose writers
// the system does not know: half a minute where settle is two seconds, which is
// longer than a network usually takes to come back. House judgement.
const blindRest = 15

func (o Options) withDefaults(drop string) Options {
	o.Settle = cmp.Or(o.Settle, DefaultSettle)
	o.Rescan = cmp.Or(o.Rescan, DefaultRescan)
	o.StalledAfter = cmp.Or(o.StalledAfter, DefaultStalledAfter)
	o.Limits = cmp.Or(o.Limits, photo.DefaultLimits())
	o.Log = cmp.Or(o.Log, zap.NewNop())
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.look == nil {
		o.look = newCloser(drop, o.Limits, o.Log).look
	}
	return o
}

// glance is the shortest time between two looks: short enough to see a file change
// within Settle, long enough not to slow the copying.
func (o Options) glance() time.Duration { return min(o.Settle/4, time.Second) }
