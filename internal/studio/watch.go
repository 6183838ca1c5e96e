package studio

import (
	"maps"
	"sync"
	"time"
)

// watch is what a worker remembers of the others from look to look, and of the
// claims it has taken over. Only who holds its lock recovers claims.
type watch struct {
	sync.Mutex
	looks map[string]look
	taken map[string]string // claims taken over and not ended yet, and when their worker stopped
}

// look is the last look at one worker's beat.
type look struct {
	beat  string
	at    time.Time
	still time.Duration // how long it has not changed
}

// stillFor notes what a worker's beat is now, and gives how long it has been
// that. A clock that is set back adds nothing.
func (w *watch) stillFor(id, beat string, lease time.Duration, now time.Time) time.Duration {
	last, known := w.looks[id]
	l := look{beat: beat, at: now}
	if known && last.beat == beat {
		l.still = last.still + min(max(now.Sub(last.at), 0), (lease+1)/2)
	}
	if w.looks == nil {
		w.looks = map[string]look{}
	}
	w.looks[id] = l
	return l.still
}

// forgetBut keeps only looks at workers there still are.
func (w *watch) forgetBut(judged map[string]verdict) {
	maps.DeleteFunc(w.looks, func(id string, _ look) bool {
		_, there := judged[id]
		return !there
	})
}

// keep notes a claim taken over.
func (w *watch) keep(id, stopped string) {
	if w.taken == nil {
		w.taken = map[string]string{}
	}
	w.taken[id] = stopped
}
