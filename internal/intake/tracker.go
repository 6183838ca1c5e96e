package intake

import "time"

// tracker remembers from look to look how long each file has been steady. It
// knows no clock and no disk: what it is told is all there is. It belongs to
// one goroutine.
type tracker struct {
	settle time.Duration
	whole  func(Candidate) bool // nil: steady is whole
	seen   map[place]*sighting
}

// place is where a file is.
type place struct{ folder, name string }

// sighting is a file as last seen.
type sighting struct {
	Candidate
	since   time.Time // when it was first seen as it is
	offered bool      // taken by the consumer; not to be offered again
}

func newTracker(o Options) *tracker {
	return &tracker{settle: o.Settle, whole: o.Whole, seen: map[place]*sighting{}}
}

func (c Candidate) place() place { return place{c.Folder, c.Name} }

// sameAs tells whether two looks at a place saw one file in one state.
func (c Candidate) sameAs(d Candidate) bool {
	return c.Size == d.Size && c.ModTime.Equal(d.ModTime) && c.inode == d.inode
}

// look takes in everything there is, at the time now. It gives the files that
// are whole and not yet taken, in the order they came, and when to look next:
// when the first of those still unsteady could be steady, zero if there are none.
func (t *tracker) look(files []Candidate, now time.Time) (ready []Candidate, next time.Time) {
	seen := make(map[place]*sighting, len(files))
	for _, c := range files {
		s := t.seen[c.place()]
		if s == nil || !s.sameAs(c) {
			s = &sighting{Candidate: c, since: now}
		}
		seen[c.place()] = s // whatever is not seen now is forgotten
		if s.offered {
			continue
		}
		due := s.since.Add(t.settle)
		if !now.Before(due) {
			if t.whole == nil || t.whole(c) {
				ready = append(ready, c)
				continue
			}
			s.since = now
			due = now.Add(t.settle)
		}
		if next.IsZero() || due.Before(next) {
			next = due
		}
	}
	t.seen = seen
	return ready, next
}

// took notes that the consumer has a file.
func (t *tracker) took(c Candidate) {
	if s := t.seen[c.place()]; s != nil && s.sameAs(c) {
		s.offered = true
	}
}

// forget has a file start over, as if never seen.
func (t *tracker) forget(p place) { delete(t.seen, p) }
