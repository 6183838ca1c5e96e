package intake

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"
)

// patience is how many settle times Settled waits for the unsteady.
const patience = 10

// Settled looks at a drop directory until every file in it has settled, and
// gives them all, oldest first. Files that come while it looks are among them.
// Those still changing after ten times Options.Settle are left, and given as
// left alone with KindGrowing; those steady and not whole, of
// kind KindUnfinished.
//
// It does not wait for a file that nobody has open for writing, whose end is there and
// which has not changed for Options.Settle by the clock of its file system. (That
// clock tells of every change; the modification time can be an older file's, as after
// cp -p.) A file whose writers the system does not know of rests for fifteen times
// Options.Settle, beyond the ten if need be.
func Settled(ctx context.Context, drop string, o Options) ([]Candidate, []LeftAlone, error) {
	o = o.withDefaults(drop)
	t := newTracker(o)
	t.rested = true
	deadline := o.Now().Add(patience * o.Settle)
	for {
		files, left, err := Scan(drop)
		if err != nil {
			return nil, nil, err
		}
		files, closed := movable(drop, files)
		left = append(left, closed...)
		now := o.Now()
		ready, next := t.look(files, now)
		if next.IsZero() {
			return ready, left, nil
		}
		if !now.Before(deadline) && !(t.resting() && now.Before(deadline.Add(t.rest))) {
			left = append(left, t.growing(ready, o.Settle)...)
			return ready, append(left, t.unfinished(now, 0)...), nil
		}
		// Often, to see changes; and just when the first could be steady.
		wait := min(o.glance(), max(next.Sub(now), time.Millisecond))
		if err := sleep(ctx, wait); err != nil {
			return nil, nil, err
		}
	}
}

// growing reports the files that are neither ready nor known to be unfinished.
func (t *tracker) growing(ready []Candidate, settle time.Duration) (all []LeftAlone) {
	left := make(map[place]bool, len(t.seen))
	for p, s := range t.seen {
		if s.why == nil || s.why == errOther {
			left[p] = true
		}
	}
	for _, c := range ready {
		delete(left, c.place())
	}
	for p := range left {
		all = append(all, leftAlone(p.folder, p.name, KindGrowing, fmt.Sprintf("still being written after %v", patience*settle), "it will be taken next time"))
	}
	slices.SortFunc(all, func(a, b LeftAlone) int { return strings.Compare(a.Text, b.Text) })
	return all
}

func sleep(ctx context.Context, d time.Duration) error {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-timer.C:
		return nil
	}
}
