package daemon

import (
	"errors"
	"fmt"

	"sizewright/internal/apart"
	"sizewright/internal/photo"
)

// within are limits for decoding in so many bytes of memory; 0 is as many as they
// like. What a header may ask for stays a fifth below that, as it is an estimate.
func within(l photo.Limits, memory int64) photo.Limits {
	if memory > 0 && memory < l.MaxMemoryBytes {
		l.MaxMemoryBytes = memory
		l.MaxDecodeBytes = min(l.MaxDecodeBytes, memory/5*4)
	}
	return l
}

// starved takes an order whose decoding the system ended for one that met a shortage
// of others' making, and for the cause of it when it was ended so time and again: the
// pauses between make more than an hour of that. Any other error stays what it is.
func (j *job) starved(err error) error {
	if !errors.Is(err, apart.ErrKilled) {
		return err
	}
	if n := j.shortage(identityOf(j.claim)); n >= mostInterruptions {
		return &refusal{string(photo.Stopped), fmt.Sprintf("%s was being decoded %d times when the system ended that, as happens when memory runs out: "+
			"export it smaller or give sizewright more memory, and drop it again", j.rec.Source.Name, n)}
	}
	return err
}

// shortage counts how often a photograph's decoding was ended by the system.
func (w *worker) shortage(of identity) int {
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.shortages) > mostShortages {
		clear(w.shortages)
	}
	w.shortages[of]++
	return w.shortages[of]
}

// enough forgets what was counted of a photograph that has come to its end.
func (w *worker) enough(of identity) {
	w.mu.Lock()
	defer w.mu.Unlock()
	delete(w.shortages, of)
}

// mostShortages bounds what is kept of photographs that their owners took away.
const mostShortages = 1000
