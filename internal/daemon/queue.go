package daemon

import (
	"cmp"
	"maps"
	"slices"
	"sync"
	"time"

	"sizewright/internal/intake"
)

// queue is what is whole and waits to be taken in hand. It belongs to one goroutine
// and knows no clock and no disk.
//
// Who came first goes first, but a print's own time counts against it: its turn is
// its arrival plus patience times the time it is estimated to take. So a wall piece
// does not keep a dozen small prints waiting, nor do small ones keep it waiting for
// longer than that, however many go on coming.
//
// What came back for want of room is not tried again until there is as much as it
// needs, however many of them wait: to try costs a claim and a look at the header.
type queue struct {
	waiting []waiting
	retries map[fileKey]retry
	trying  map[fileVersion]int64     // those taken out, with the room that they are known to need
	arrived map[fileVersion]time.Time // with what lot those came that are to be added anew

	last time.Time // when the last one came
	lot  time.Time // when the first of its lot came
}

// waiting is one candidate and its turn.
type waiting struct {
	intake.Candidate
	lot, turn time.Time
}

const (
	// patience is by how many times its own time a print stands back for others.
	// House judgement.
	patience = 10
	// oneLot is how close together files come that were dropped at one time.
	oneLot = time.Second
	// A fault's cause is given firstPause to go away, and twice as long each time.
	firstPause = 30 * time.Second
	longPause  = 15 * time.Minute
	// roomPause is the least time after which a print that found no room is tried
	// again, for disks that others fill and empty.
	roomPause = 15 * time.Second
)

func newQueue() *queue {
	return &queue{retries: map[fileKey]retry{}, trying: map[fileVersion]int64{}, arrived: map[fileVersion]time.Time{}}
}

// add puts in a candidate, in place of an earlier one of its name. It takes about
// takes to make.
func (q *queue) add(c intake.Candidate, takes time.Duration, now time.Time) {
	if q.lot.IsZero() || now.Sub(q.last) > oneLot {
		q.lot = now
	}
	q.last = now
	lot, again := q.arrived[versionOfFile(c)]
	if !again {
		lot = q.lot
	}
	if s := keyOf(c); q.retries[s].of != versionOfFile(c) {
		delete(q.retries, s) // another file's
	}
	q.waiting = slices.DeleteFunc(q.waiting, func(w waiting) bool { return keyOf(w.Candidate) == keyOf(c) })
	q.waiting = append(q.waiting, waiting{c, lot, lot.Add(patience * takes)})
	slices.SortFunc(q.waiting, inTurn)
}

// takes is about how long all that waits takes to make.
func (q *queue) takes() (all time.Duration) {
	for _, w := range q.waiting {
		all += w.turn.Sub(w.lot) / patience
	}
	return all
}

// anew empties the queue for settings that have changed: all of it is to be added
// again, and keeps its arrival. What it needs of room is to be found out again.
func (q *queue) anew() {
	clear(q.arrived)
	for _, w := range q.waiting {
		q.arrived[versionOfFile(w.Candidate)] = w.lot
	}
	q.waiting = nil
	maps.DeleteFunc(q.retries, func(_ fileKey, s retry) bool { return s.how == noRoom })
}

// inTurn sorts by turn, then the oldest file first, and always the same.
func inTurn(a, b waiting) int {
	return cmp.Or(a.turn.Compare(b.turn), a.ModTime.Compare(b.ModTime), cmp.Compare(a.Folder, b.Folder), cmp.Compare(a.Name, b.Name))
}

// next takes out the candidate whose turn it is, of those that may be tried now.
// room is how many bytes of the disk a print may take; it is asked only if one is
// known to need so many.
func (q *queue) next(now time.Time, room func() int64) (intake.Candidate, bool) {
	i := slices.IndexFunc(q.waiting, q.mayTry(now, room))
	if i < 0 {
		return intake.Candidate{}, false
	}
	c := q.waiting[i].Candidate
	q.waiting = slices.Delete(q.waiting, i, i+1)
	delete(q.arrived, versionOfFile(c))
	q.trying[versionOfFile(c)] = q.retries[keyOf(c)].needs
	return c, true
}

// mayTry tells of candidates whether they may be tried now. What is being tried counts
// until it ends, though its room may be reserved by then.
func (q *queue) mayTry(now time.Time, room func() int64) func(waiting) bool {
	left := sync.OnceValue(func() int64 {
		bytes := room()
		for _, needs := range q.trying {
			bytes -= needs
		}
		return bytes
	})
	return func(w waiting) bool {
		s := q.retries[keyOf(w.Candidate)]
		return !now.Before(s.until) && (s.needs == 0 || s.needs <= left())
	}
}
