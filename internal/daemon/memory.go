package daemon

import (
	"errors"

	"sizewright/internal/apart"
)

// starved takes an order whose decoding the system ended for one that met a shortage
// of others' making, and for the cause of it when it was ended so time and again: the
// pauses between make more than an hour of that. Any other error stays what it is.
func (j *job) starved(err error) error {
	if !errors.Is(err, apart.ErrKilled) {
		return err
	}
	if n := j.worker.shortage(identityOf(j.claim)); n >= mostInterruptions {
		return apart.Stopped.With("export it smaller or give sizewright more memory, and drop it again").
			Say("%s was being decoded %d times when the system ended that, as happens when memory runs out", j.rec.Source.Name, n)
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
