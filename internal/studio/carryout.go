package studio

import (
	"errors"
	"io/fs"
	"path"
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
	out.Untidy = s.clear(id)
	return out, nil
}

// carry makes one move of a journal. A source that is gone was moved before;
// its target may since have been taken away by its owner, and that is theirs
// to do.
func (s *Studio) carry(id string, j *journal, i int) error {
	m := &j.Moves[i]
	from := claimPath(id, string(m.From))
	switch _, err := s.tree.lstat(from); {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return err
	}
	if err := s.tree.ensureDirs(path.Dir(string(m.To))); err != nil {
		return err
	}
	for {
		err := s.tree.move(from, string(m.To))
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
// The journal is last, so that a claim is decided until it is no more.
func (s *Studio) clear(id string) error {
	t := &s.tree
	if err := s.emptyOwn(claimPath(id, madePart)); err != nil {
		return err
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
		{t.rmdir, ""},
	}
	for _, step := range steps {
		if err := step.remove(claimPath(id, step.name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return t.syncDir(claimsDir)
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

// emptyOwn removes the files in a directory, all of which are sizewright's own.
func (s *Studio) emptyOwn(dir string) error {
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
