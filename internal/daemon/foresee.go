package daemon

import (
	"context"
	"errors"
	"sync"

	"sizewright/internal/hold"
	"sizewright/internal/isolate"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/record"
	"sizewright/internal/render"
)

// mostInterruptions is how often the process may die with an order in hand, or its
// decoding be ended by the system, before the order is taken for the cause. House
// judgement: a night of power cuts is one thing, ten another.
const mostInterruptions = 10

// foresee is all that can be known of an order before its pixels: what is held for
// its header, whether the disk has room for its print, the digest of its bytes.
func (j *job) foresee(ctx context.Context) error {
	if err := j.unopened(); err != nil {
		return err
	}
	told := j.header()
	if told == nil {
		// Here and not at the press: an order without room would be decoded for nothing.
		if err := j.reserve(); err != nil {
			return err
		}
	}
	if err := j.digest(ctx); err != nil {
		return err
	}
	if told == nil {
		j.rec.Identity, j.rec.Recipe = j.decision.Identity(j.rec.Source.SHA256), render.RecipeVersion
	}
	return told
}

var interrupted = hold.New("interrupted", "look in the system's log for those moments, and drop it again to have it tried again")

// unopened refuses what is not even read through, so that no digest of it is on
// record. A file beyond max_file_mib may be of any length, and a sparse one costs its
// sender nothing; one that ended the process ten times may have done so when it
// was read.
func (j *job) unopened() error {
	if n := j.interruptions; n >= mostInterruptions {
		return interrupted.Say("%s was in hand %d times when sizewright was ended without warning, so it may be what ends it", j.rec.Source.Name, n)
	}
	if j.claim.Size <= j.desk.Limits.MaxFileBytes {
		return nil
	}
	f, err := photo.OpenFile(j.claim.OriginalPath(), j.desk.Limits) // which says so in its words
	if err != nil {
		return j.heldForMemory(err)
	}
	return f.Close()
}

// header decides what the picture's header tells.
func (j *job) header() (err error) {
	j.decision, err = j.desk.Foresee(order.Request{Path: j.claim.OriginalPath(), Name: j.rec.Source.Name, Order: j.asked})
	if err != nil {
		return j.heldForMemory(err)
	}
	return j.decided()
}

// decided has the decision on record; of one that is only foreseen, what is true of the
// file whatever is measured, and not its plan. Its error is the hold, if it is one.
func (j *job) decided() error {
	d := j.decision
	if d.Plan != nil {
		j.rec.Cautions = append(append([]photo.Caution{}, j.past...), d.Cautions...)
		j.rec.Source = record.SourceOf(j.rec.Source, d.Info, d.Plan)
	}
	if d.Stage != order.Final {
		return nil
	}
	j.rec.Plan, j.rec.Ladder, j.rec.Gamut = d.Plan, d.Ladder, d.Gamut
	if d.Plan != nil {
		j.rec.Verdict = d.Plan.Resolution.Verdict
	}
	if d.Hold != nil {
		return d.Hold
	}
	return nil
}

// heldForMemory takes an order whose decoding the system ended for one that met a shortage
// of others' making, and for the cause of it when it was ended so time and again: the
// pauses between make more than an hour of that. Any other error stays what it is.
func (j *job) heldForMemory(err error) error {
	if !errors.Is(err, isolate.ErrKilled) {
		return err
	}
	if n := j.shortage(); n >= mostInterruptions {
		return isolate.Stopped.With("export it smaller or give sizewright more memory, and drop it again").
			Say("%s was being decoded %d times when the system ended that, as happens when memory runs out", j.rec.Source.Name, n)
	}
	return err
}

// shortages counts how often the decoding of a photograph was ended by the system.
type shortages struct {
	mu sync.Mutex
	of map[fileVersion]int
}

// mostShortages bounds what is kept of photographs that their owners took away.
const mostShortages = 1000

func (s *shortages) count(of fileVersion) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.of == nil || len(s.of) > mostShortages {
		s.of = map[fileVersion]int{}
	}
	s.of[of]++
	return s.of[of]
}

// forget is for a photograph that has come to its end.
func (s *shortages) forget(of fileVersion) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.of, of)
}
