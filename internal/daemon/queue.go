package daemon

import (
	"cmp"
	"slices"
	"time"

	"sizewright/internal/intake"
)

// queue is what is whole and waits to be taken in hand. It belongs to one goroutine
// and knows no clock.
//
// Who came first goes first, but a print's own time counts against it: its turn is
// its arrival plus patience times the time it is estimated to take. So a wall piece
// does not keep a dozen small prints waiting, nor do small ones keep it waiting for
// longer than that, however many go on coming.
type queue struct {
	waiting []waiting
	faults  map[spot]setback

	last time.Time // when the last one came
	lot  time.Time // when the first of its lot came
}

// waiting is one candidate and its turn.
type waiting struct {
	intake.Candidate
	turn time.Time
}

// spot is where a candidate lies.
type spot struct{ folder, name string }

func spotOf(c intake.Candidate) spot { return spot{c.Folder, c.Name} }

// setback is what kept a candidate from being made.
type setback struct {
	times int       // faults in a row
	until time.Time // not to be tried before
}

const (
	// patience is by how many times its own time a print stands back for others.
	// House practice.
	patience = 10
	// oneLot is how close together files come that were dropped at one time.
	oneLot = time.Second
	// A fault's cause is given firstPause to go away, and twice as long each time.
	firstPause = 30 * time.Second
	longPause  = 15 * time.Minute
	// roomPause is how often a print that waits for room is looked at again.
	roomPause = time.Minute
)

func newQueue() *queue { return &queue{faults: map[spot]setback{}} }

// add puts in a candidate, in place of an earlier one of its name. It takes about
// takes to make.
func (q *queue) add(c intake.Candidate, takes time.Duration, now time.Time) {
	if q.lot.IsZero() || now.Sub(q.last) > oneLot {
		q.lot = now
	}
	q.last = now
	q.waiting = slices.DeleteFunc(q.waiting, func(w waiting) bool { return spotOf(w.Candidate) == spotOf(c) })
	q.waiting = append(q.waiting, waiting{c, q.lot.Add(patience * takes)})
	slices.SortFunc(q.waiting, inTurn)
}

// inTurn sorts by turn, then the oldest file first, and always the same.
func inTurn(a, b waiting) int {
	return cmp.Or(a.turn.Compare(b.turn), a.ModTime.Compare(b.ModTime), cmp.Compare(a.Folder, b.Folder), cmp.Compare(a.Name, b.Name))
}

// next takes out the candidate whose turn it is, of those that may be tried now.
func (q *queue) next(now time.Time) (intake.Candidate, bool) {
	i := slices.IndexFunc(q.waiting, func(w waiting) bool { return !now.Before(q.faults[spotOf(w.Candidate)].until) })
	if i < 0 {
		return intake.Candidate{}, false
	}
	c := q.waiting[i].Candidate
	q.waiting = slices.Delete(q.waiting, i, i+1)
	return c, true
}

// ended notes how it went with a candidate, which matters if it comes again.
func (q *queue) ended(c intake.Candidate, how ending, now time.Time) {
	s := spotOf(c)
	switch how {
	case faulty:
		was := q.faults[s]
		pause := min(firstPause<<min(was.times, 10), longPause)
		q.faults[s] = setback{was.times + 1, now.Add(pause)}
	case noRoom:
		q.faults[s] = setback{q.faults[s].times, now.Add(roomPause)}
	default:
		delete(q.faults, s)
	}
}
