package studio

import (
	"errors"
	"io/fs"
	"path"

	"golang.org/x/sys/unix"
)

// carryOut makes every move of a journal that has not been made, has them all
// on disk, and removes the claim. It may be called again after any failure,
// by this process or the next.
func (s *Studio) carryOut(id string, j *journal) (Outcome, error) {
	// Whoever was to make the decision durable may have been killed, or failed,
	// before that; a power cut must not find files moved and no journal.
	if err := s.tree.syncDir(claimPath(id)); err != nil {
		return Outcome{}, err
	}
	for i := range j.Moves {
		if err := s.carry(id, j, i); err != nil {
			return Outcome{}, err
		}
	}
	// Where files arrive before where they leave: a file system that knows no
	// better may then show one twice after a power cut, but never not at all.
	for _, dir := range append(j.targets(), claimPath(id, originalPart), claimPath(id, madePart)) {
		if err := s.tree.syncDir(dir); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return Outcome{}, err
		}
	}
	out := j.outcome()
	ended, untidy := s.clearEnded(id)
	if !ended && (untidy == nil || errors.Is(untidy, ErrTakenOver)) {
		return Outcome{}, errTakenOver(id, claimPath(id))
	}
	out.Untidy = untidy
	return out, nil
}

// carry makes one move of a journal. A source that is gone was moved before;
// its target may since have been taken away by its owner, and that is theirs
// to do.
func (s *Studio) carry(id string, j *journal, i int) error {
	m := &j.Moves[i]
	from := claimPath(id, string(m.From))
	gone := func() (bool, error) {
		_, err := s.tree.lstat(from)
		if errors.Is(err, fs.ErrNotExist) {
			return true, nil
		}
		return false, err
	}
	if moved, err := gone(); moved || err != nil {
		return err
	}
	if err := s.tree.ensureDir(path.Dir(string(m.To))); err != nil {
		return err
	}
	for {
		err := s.tree.move(from, string(m.To))
		if errors.Is(err, fs.ErrNotExist) {
			// A worker it was taken over from can be making this very move.
			if moved, _ := gone(); moved {
				return nil
			}
		}
		if !errors.Is(err, fs.ErrExist) {
			return err
		}
		if err := s.renumber(id, j, i); err != nil {
			return err
		}
	}
}

// renumber gives a decided move another target, its own having been taken by
// somebody else. The journal is rewritten first, so that it always says where
// a file is.
func (s *Studio) renumber(id string, j *journal, i int) error {
	m := &j.Moves[i]
	if m.Wanted == "" {
		m.Wanted = m.To
	}
	dir, wanted := path.Split(string(m.Wanted))
	taken, err := s.takenIn(id, path.Clean(dir))
	if err != nil {
		return err
	}
	for _, other := range j.Moves { // not the name of a file yet to come
		taken.addAll(path.Base(string(other.To)))
	}
	err = firstFree(func(n int) bool {
		name := numberedName(wanted, n)
		m.To = diskName(dir + name)
		return taken.free(name)
	})
	if err != nil {
		return fault(string(m.Wanted), "no other name for it", err)
	}
	return s.tree.writeJSON(claimPath(id, journalName), j)
}

func (j journal) outcome() Outcome {
	out := Outcome{Original: string(j.Moves[0].To)}
	for i, m := range j.Moves {
		if i > 0 {
			out.Made = append(out.Made, string(m.To))
		}
		if m.Wanted != "" {
			out.Renamed = append(out.Renamed, Renamed{string(m.Wanted), string(m.To)})
		}
	}
	return out
}

// clear removes a claim whose original has left it. Nothing here can remove an
// original: directories are removed only when empty, and order.json, without
// which an original would be a stray, only after the place for it has gone.
// The journal is last, so that a claim is decided until it is no more. A claim
// that was already gone is ErrTakenOver.
func (s *Studio) clear(id string) error {
	_, err := s.clearEnded(id)
	return err
}

// clearEnded is clear, and tells whether it was this very call that removed the
// journal: of several processes that believe the claim to be theirs, that is
// the one to report how it ended.
func (s *Studio) clearEnded(id string) (ended bool, err error) {
	for range 2 { // one it was taken over from may just have made something
		now, fault := s.clearOnce(id)
		ended, err = ended || now, fault
		if !errors.Is(err, unix.ENOTEMPTY) {
			break
		}
	}
	if ended && errors.Is(err, ErrTakenOver) {
		err = nil // what was left of it was cleared as well
	}
	return ended, err
}

func (s *Studio) clearOnce(id string) (ended bool, err error) {
	t := &s.tree
	if err := s.emptyMade(claimPath(id, madePart)); err != nil {
		return false, err
	}
	steps := []struct {
		remove func(string) error
		name   string
	}{
		{t.rmdir, madePart},
		{t.rmdir, originalPart},
		{s.clearTemps, ""},
		{t.unlink, orderName},
		{t.unlink, journalName},
	}
	for _, step := range steps {
		err = step.remove(claimPath(id, step.name))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return false, err
		}
	}
	ended = err == nil
	switch err := t.rmdir(claimPath(id)); {
	case errors.Is(err, fs.ErrNotExist):
		return ended, errTakenOver(id, claimPath(id))
	case err != nil:
		return ended, err
	}
	return ended, t.syncDir(claimsDir)
}

// clearTemps removes half-written orders and journals from a claim.
func (s *Studio) clearTemps(claim string) error {
	names, err := s.tree.list(claim)
	if err != nil {
		return err
	}
	for _, name := range names {
		if isTemp(name) {
			if err := s.tree.discard(claim + "/" + name); err != nil {
				return err
			}
		}
	}
	return nil
}

// emptyMade removes files that were being made; they are sizewright's own.
func (s *Studio) emptyMade(dir string) error {
	names, err := s.tree.list(dir)
	if err != nil {
		return err
	}
	for _, name := range names {
		if err := s.tree.discard(dir + "/" + name); err != nil {
			return err
		}
	}
	return nil
}
