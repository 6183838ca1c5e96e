package intake

import (
	"errors"
	"slices"
	"strings"
	"time"

	"sizewright/internal/photo"
)

// tracker remembers from look to look how long each file has been steady, and what a
// closer look found. It reads no clock and no directory: both are given to it. It belongs
// to one goroutine.
type tracker struct {
	settle  time.Duration
	rescan  time.Duration
	stalled time.Duration
	rest    time.Duration // between the two looks at a file whose writers nobody knows of
	rested  bool          // a file that has not changed for long by its file system's clock is asked for at once
	whole   func(Candidate) (*blanks, error)
	seen    map[place]*sighting
}

// place is where a file is.
type place struct{ folder, name string }

// sighting is a file as last seen.
type sighting struct {
	Candidate
	since   time.Time // when it was first seen as it is
	ask     time.Time // when to ask whether it is whole
	why     error     // the last answer, if it was no
	whole   bool      // the last answer, if it was yes: it is asked no more
	offered bool      // taken by the consumer; not to be offered again
}

func newTracker(o Options) *tracker {
	return &tracker{settle: o.Settle, rescan: o.Rescan, stalled: o.StalledAfter, rest: blindRest * o.Settle, whole: o.look, seen: map[place]*sighting{}}
}

func (c Candidate) place() place { return place{c.Folder, c.Name} }

// sameAs reports whether two looks at a place saw the same file in the same state.
func (c Candidate) sameAs(d Candidate) bool {
	return c.Size == d.Size && c.ModTime.Equal(d.ModTime) && c.inode == d.inode
}

// still reports whether a file is as it was. Until it is taken, the time of its
// last change of any kind counts too: a file server may hold the modification
// time where the client has set it, however much is written after. Once taken,
// a mere change of rights or names is no new photograph.
func (s *sighting) still(c Candidate) bool {
	return s.sameAs(c) && (s.offered || s.changed.Equal(c.changed))
}

// look takes in everything there is, at the time now. It gives the files that
// are whole and not yet taken, in the order they came, and when to look next:
// when the first of those still unsteady could be steady, zero if there are none.
func (t *tracker) look(files []Candidate, now time.Time) (ready []Candidate, next time.Time) {
	seen := make(map[place]*sighting, len(files))
	read := false // a file was read from its beginning to its end, which is enough for one look
	for _, c := range files {
		s := t.seen[c.place()]
		if s == nil || !s.still(c) {
			s = t.sight(c, now)
		}
		seen[c.place()] = s // whatever is not seen now is forgotten
		if s.offered {
			continue
		}
		if !s.whole && !read && !now.Before(s.ask) {
			read = t.closer(s, now)
		}
		if s.whole {
			ready = append(ready, s.Candidate)
			continue
		}
		if due := t.due(s, now); next.IsZero() || due.Before(next) {
			next = due
		}
	}
	t.seen = seen
	return ready, next
}

// sight is a file seen for the first time as it is.
func (t *tracker) sight(c Candidate, now time.Time) *sighting {
	s := &sighting{Candidate: c, since: now, ask: now.Add(t.settle)}
	if t.rested && !c.changed.IsZero() && now.Sub(c.changed) >= t.settle {
		s.ask = now
	}
	return s
}

// closer asks whether a steady file is whole. If not, it is asked again when it has been
// steady for twice as long, so that thousands of incomplete files do not keep the disk
// busy.
//
// Where nobody knows who writes to it, a yes counts if it is given a second time,
// after a longer rest. read tells that the file was read for that.
func (t *tracker) closer(s *sighting, now time.Time) (read bool) {
	seen, err := t.whole(s.Candidate)
	s.why = err
	if err == errOther { // it starts over
		s.since, s.blanks = now, nil
	}
	if err == nil && seen != nil && s.blanks == nil {
		s.blanks, s.ask = seen, now.Add(t.rest)
		return true
	}
	s.whole = err == nil
	most := t.rescan
	if unended(s.why) {
		most = t.stalled // as long as it stays the same, so will the answer
	}
	s.ask = now.Add(max(t.settle, min(now.Sub(s.since), most)))
	return seen != nil
}

// resting tells whether a file is between its two looks.
func (t *tracker) resting() bool {
	for _, s := range t.seen {
		if s.blanks != nil && !s.whole && s.why == nil {
			return true
		}
	}
	return false
}

func unended(err error) bool {
	var u *photo.Unended
	return errors.As(err, &u)
}

// due is when to look at a file again: to ask, or to tell that it has stalled.
func (t *tracker) due(s *sighting, now time.Time) time.Time {
	tell := s.since.Add(t.stalled)
	if s.why != nil && tell.After(now) && tell.Before(s.ask) {
		return tell
	}
	return s.ask
}

// unfinished tells of the files that have been steady for a given time and are
// not whole for all that, and at once of those that may not be read.
func (t *tracker) unfinished(now time.Time, after time.Duration) (all []LeftAlone) {
	for _, s := range t.seen {
		if s.why != nil && s.why != errOther && (now.Sub(s.since) >= after || forbidden(s.why)) {
			all = append(all, s.unfinished())
		}
	}
	slices.SortFunc(all, func(a, b LeftAlone) int { return strings.Compare(a.Text, b.Text) })
	return all
}

// took notes that the consumer has a file.
func (t *tracker) took(c Candidate) {
	if s := t.seen[c.place()]; s != nil && s.sameAs(c) {
		s.offered = true
	}
}

// forget has a file start over, as if never seen.
func (t *tracker) forget(p place) { delete(t.seen, p) }
