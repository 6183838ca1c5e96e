package intake

import (
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
	// Whole decides about a steady file: nil if it is whole, else the reason,
	// in words that end a sentence. It may read the file, and is called
	// from one goroutine. After a reason it is called again, less and less
	// often; after nil never. If Whole is not set it is the package's own closer
	// look: no process has the file open for writing, and its end is there.
	Whole func(Candidate) error
	// Log gets what happens; nil means no log.
	Log *zap.Logger
	// Now is the clock; nil means time.Now.
	Now func() time.Time

	drop string
	look func(Candidate) (*blanks, error) // tests have their own
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
	if o.Settle <= 0 {
		o.Settle = DefaultSettle
	}
	if o.Rescan <= 0 {
		o.Rescan = DefaultRescan
	}
	if o.StalledAfter <= 0 {
		o.StalledAfter = DefaultStalledAfter
	}
	if o.Limits == (photo.Limits{}) {
		o.Limits = photo.DefaultLimits()
	}
	if o.Log == nil {
		o.Log = zap.NewNop()
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	o.drop = drop
	return o
}

// closerLook is Whole, or the package's own: one that was given has no blanks to show.
func (o Options) closerLook() func(Candidate) (*blanks, error) {
	if o.Whole != nil {
		return func(c Candidate) (*blanks, error) { return nil, o.Whole(c) }
	}
	if o.look != nil {
		return o.look
	}
	return newCloser(o.drop, o.Limits, o.Log).look
}

// glance is the shortest time between two looks: short enough to see a file change
// within Settle, long enough not to slow the copying.
func (o Options) glance() time.Duration { return min(o.Settle/4, time.Second) }
