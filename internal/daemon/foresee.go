package daemon

import (
	"context"

	"sizewright/internal/hold"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/record"
	"sizewright/internal/render"
)

// mostInterruptions is how often the process may die with an order in hand, or its
// decoding be ended by the system, before the order is taken for the cause. House
// practice: a night of power cuts is one thing, ten another.
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
	if n := j.worker.Studio.Interruptions(j.claim.Folder, j.claim.Name, j.claim.Size, j.claim.ModTime); n >= mostInterruptions {
		return interrupted.Say("%s was in hand %d times when sizewright was ended without warning, so it may be what ends it", j.rec.Source.Name, n)
	}
	if j.claim.Size <= j.desk.Limits.MaxFileBytes {
		return nil
	}
	f, err := photo.OpenFile(j.claim.OriginalPath(), j.desk.Limits) // which says so in its words
	if err != nil {
		return j.starved(err)
	}
	return f.Close()
}

// header decides what the picture's header tells.
func (j *job) header() (err error) {
	j.decision, err = j.desk.Foresee(order.Request{Path: j.claim.OriginalPath(), Name: j.rec.Source.Name, Order: j.asked})
	if err != nil {
		return j.starved(err)
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
	if d.Hold != nil {
		return d.Hold
	}
	return nil
}
