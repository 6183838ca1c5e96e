package studio

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
)

// Return ends the claim as if it had never been: the original goes back to its
// drop folder, under a numbered name if its own has been taken meanwhile, and
// what was made is removed. Outcome.Original says where it is, "" if
// an earlier Return moved it and could not end. A claim that is
// already decided cannot be returned, and is finished instead. ErrGone means that
// somebody has taken the original out of the claim; the claim is over then.
func (c *Claim) Return() (Outcome, error) {
	if c.over {
		return Outcome{}, errOver(c)
	}
	if c.Decided() {
		return c.decide("", Names{}, nil)
	}
	to, err := c.studio.giveBack(c.ID, c.Folder, c.Name)
	if to == "" && err != nil {
		c.returning = true
		return Outcome{}, err
	}
	c.over = true
	switch {
	case to == "" && c.returning:
		return Outcome{}, nil
	case to == "":
		return Outcome{}, errGone(dropPath(c.Folder, c.Name))
	}
	out := Outcome{Original: to, Untidy: err}
	if wanted := dropPath(c.Folder, c.Name); to != wanted {
		out.Renamed = []Renamed{{wanted, to}}
	}
	return out, nil
}

// giveBack moves a claim's original, if it has one, back where it came from,
// then removes the claim. It says where the original went, "" if there was none
// or it could not be moved; an error beside a place is why the emptied claim
// could not be removed.
func (s *Studio) giveBack(id, folder, name string) (to string, err error) {
	from := claimPath(id, originalPart, name)
	switch _, err := s.tree.lstat(from); {
	case errors.Is(err, fs.ErrNotExist):
		return "", s.clearEmpty(id, folder)
	case err != nil:
		return "", err
	}
	if to, err = s.moveBack(from, folder, name); err != nil {
		return "", err
	}
	for _, dir := range []string{path.Dir(to), path.Dir(from)} {
		if err := s.tree.syncDir(dir); err != nil {
			return "", err
		}
	}
	return to, s.clear(id)
}

// clearEmpty removes a claim that an original has left, or never reached. If it
// left for its drop folder, whoever moved it may not have made that durable,
// and a power cut must not bring it back into a claim without an order.
func (s *Studio) clearEmpty(id, folder string) error {
	for _, dir := range []string{dropPath(folder), claimPath(id, originalPart)} {
		if err := s.tree.syncDir(dir); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return s.clear(id)
}

// moveBack tries names until one is free. It does so by moving, not by looking
// first: a photograph goes back to exactly the name it had, even beside one
// that differs in case only, as it lay before.
func (s *Studio) moveBack(from, folder, name string) (to string, err error) {
	if err := s.tree.ensureDirs(dropPath(folder)); err != nil {
		return "", err
	}
	moved := errors.New("moved")
	err = firstFree(func(n int) bool {
		to = dropPath(folder, numberedName(name, n))
		moved = s.tree.move(from, to)
		return !errors.Is(moved, fs.ErrExist)
	})
	if err != nil {
		return "", fault(dropPath(folder, name), "cannot be put back", err)
	}
	return to, moved
}

func errGone(name string) error {
	return fmt.Errorf("%s: %w: somebody has moved it out of %s", show(name), ErrGone, claimsDir)
}
