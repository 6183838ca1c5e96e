package studio

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strings"

	"golang.org/x/sys/unix"

	"sizewright/internal/filename"
	"sizewright/internal/remedy"
)

// File is one file made inside a claim.
type File struct {
	Name   string // as given to MadePath
	Suffix string // what follows the stem in its final name: ".tif", ".json", ".preview.jpg"
}

// Outcome is where a claim's files ended, as paths relative to the studio.
type Outcome struct {
	Original string
	Made     []string // in the order they were given
	// Renamed lists files that are not called what their record says, because
	// somebody took the name between the decision and the move. Rare; tell it.
	Renamed []Renamed
	// Untidy is why an emptied claim could not be removed, if so. All of the
	// work is safe in its place, and the next start tries again.
	Untidy error
}

// Renamed is a file that got another name than it was to have.
type Renamed struct{ Wanted, Got string }

// Publish ends the claim: the original goes to its folder in originals/ first, then
// each made file to that in outbox/, in the order given. List the print record
// last, so that whoever sees a record finds all that it speaks of.
//
// Before anything moves, everything is brought safely to disk. With
// ErrNameTaken nothing has been decided: choose names again, rewrite what
// contains them, and publish again. After another error, Decided tells whether
// the claim can still be held or returned; if it is decided, what remains is
// done by calling Publish again or by the next start. ErrGone means that somebody
// has removed the claim from under it.
func (c *Claim) Publish(n Names, made ...File) (Outcome, error) {
	return c.decide(Published, n, made)
}

// Hold ends the claim without a print: the original goes to its folder in held/, and
// each made file, such as the reason, beside it. All else is as with Publish.
func (c *Claim) Hold(n Names, made ...File) (Outcome, error) {
	return c.decide(Held, n, made)
}

// Decided reports whether Publish or Hold has decided, so that it must be finished.
func (c *Claim) Decided() bool { return c.decided != nil }

func (c *Claim) decide(kind Kind, n Names, made []File) (Outcome, error) {
	if c.over {
		return Outcome{}, errOver(c)
	}
	s := c.studio
	if c.Decided() {
		s.deciding.Lock()
		defer s.deciding.Unlock()
		return c.finish()
	}
	j, err := c.plan(kind, n, made)
	if err != nil {
		return Outcome{}, err
	}
	if err := c.secure(j); err != nil {
		return Outcome{}, err
	}
	// One at a time, or two claims could find the same name free and both
	// decide on it.
	s.deciding.Lock()
	defer s.deciding.Unlock()
	if err := s.prepare(c.ID, j); err != nil {
		return Outcome{}, err
	}
	if err := c.commit(j); err != nil {
		return Outcome{}, err
	}
	return c.finish()
}

// plan writes the decision as a journal.
func (c *Claim) plan(kind Kind, n Names, made []File) (journal, error) {
	j := journal{Kind: kind, Folder: diskName(c.Folder), Name: diskName(c.Name)}
	add := func(part, name, dir, as string) {
		if dir == "" {
			dir = j.top(part) + "/" + filename.SafePath(c.Folder)
		}
		j.Moves = append(j.Moves, move{From: diskName(part + "/" + name), To: diskName(dir + "/" + as)})
	}
	add(originalPart, c.Name, n.OriginalIn, n.Original)
	for _, m := range made {
		add(madePart, m.Name, n.MadeIn, n.Stem+m.Suffix)
	}
	if err := j.check(); err != nil {
		return journal{}, fmt.Errorf("%s: cannot be published as %s: %w", show(dropPath(c.Folder, c.Name)), show(n.Stem), err)
	}
	return j, nil
}

// secure brings to disk all that will be moved. The original too: it may still
// be in memory only, and once its print is out nobody will look for the card
// it came from.
func (c *Claim) secure(j journal) error {
	s := c.studio
	for _, m := range j.Moves {
		rel := c.rel(string(m.From))
		if _, err := s.regular(rel, rel); err != nil {
			return err
		}
		if err := s.tree.syncFile(rel); err != nil {
			return err
		}
	}
	return s.tree.syncDir(c.rel(madePart))
}

// prepare makes the directories that the files go to, and finds whatever could keep a
// file from going there, before the decision is made.
func (s *Studio) prepare(id string, j journal) error {
	home, err := s.tree.lstat(claimsDir)
	if err != nil {
		return err
	}
	taken := map[string]nameSet{}
	for _, dir := range j.targets() {
		top, folder, _ := strings.Cut(dir, "/")
		now, err := s.folderIn(top, folder)
		if err != nil {
			return err
		}
		if now != dir { // made since, in letters of the other case
			return remedy.Errorf("another folder must be chosen", "%s: %w", show(dir), ErrNameTaken)
		}
		if err := s.tree.ensureDirs(dir); err != nil {
			return err
		}
		if err := s.tree.receives(dir, uint64(home.Dev)); err != nil {
			return err
		}
		if taken[dir], err = s.takenIn(id, dir); err != nil {
			return err
		}
	}
	for _, m := range j.Moves {
		dir, name := path.Split(string(m.To))
		if !taken[path.Clean(dir)].addAll(name) {
			return remedy.Errorf("another name must be chosen", "%s: %w", show(string(m.To)), ErrNameTaken)
		}
	}
	return nil
}

// receives fails if files cannot be moved into a directory.
func (t *tree) receives(rel string, dev uint64) error {
	dir, err := t.openDir(rel)
	if err != nil {
		return err
	}
	defer dir.Close()
	var st unix.Stat_t
	if err := unix.Fstat(int(dir.Fd()), &st); err != nil {
		return fault(rel, "cannot look at it", err)
	}
	if uint64(st.Dev) != dev {
		return fault(rel, "cannot be used", unix.EXDEV)
	}
	if err := unix.Faccessat(int(dir.Fd()), ".", unix.W_OK|unix.X_OK, 0); err != nil {
		return fault(rel, "cannot be written to", err)
	}
	return nil
}

// commit writes the journal: the moment of decision. Once it has its name the
// claim is decided, even where that name cannot be made durable: carryOut will
// try again before it moves anything. It is not taken back: the next start goes by
// what is there.
func (c *Claim) commit(j journal) error {
	err := c.studio.tree.writeJSON(c.rel(journalName), j)
	if err == nil || !c.noJournal() {
		c.decided = &j
	}
	return err
}

// noJournal reports whether there is certainly none.
func (c *Claim) noJournal() bool {
	_, err := c.studio.tree.lstat(c.rel(journalName))
	return errors.Is(err, fs.ErrNotExist)
}

// finish carries out the decision.
func (c *Claim) finish() (Outcome, error) {
	if c.noJournal() {
		c.decided = nil
		return Outcome{}, errGone(c.rel(journalName))
	}
	out, err := c.studio.carryOut(c.ID, c.decided)
	if err != nil {
		return out, fmt.Errorf("%s: decided, but not all is in place yet; the next start will finish it: %w", show(dropPath(c.Folder, c.Name)), err)
	}
	c.over = true
	c.studio.endedWell(c.Folder, c.Name, c.Size, c.ModTime)
	return out, nil
}

func errOver(c *Claim) error {
	return fmt.Errorf("%s: this claim is over", show(dropPath(c.Folder, c.Name)))
}
