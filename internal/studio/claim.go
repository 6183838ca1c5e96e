package studio

import (
	"errors"
	"io/fs"
	"time"

	"golang.org/x/sys/unix"

	"sizewright/internal/remedy"
)

// Claim is one photograph in hand, for one drop folder. It belongs to one
// goroutine at a time.
type Claim struct {
	ID      string    // the name of its directory in .sizewright/claims
	Folder  string    // the drop folder it came from
	Name    string    // the photograph's name there, byte for byte
	Size    int64     // bytes, when claimed
	ModTime time.Time // when claimed
	Taken   time.Time

	studio  *Studio
	decided *journal // set from the moment of decision on
	over    bool

	returning bool // a Return failed: the original may be back all the same
}

// Claim takes drop/<folder>/<name> in hand. The studio must be locked; of several
// goroutines that claim one photograph, one gets it. It fails with fs.ErrNotExist when the photograph has gone and ErrNotRegular when there is
// something else of that name: a link of either kind, a directory or a device
// is never followed, opened or kept. (A file with two names is one that its
// owner can still change, under the other name, once it is in originals/.)
// After any error the photograph is where it was, or, if even putting it back
// failed, where Recover will find it.
func (s *Studio) Claim(folder, name string) (*Claim, error) {
	if err := errors.Join(checkFolder(folder), checkName(name)); err != nil {
		return nil, err
	}
	if !s.locked.Load() {
		return nil, errNotLocked(s.dir)
	}
	from := dropPath(folder, name)
	if _, err := s.single(from, from); err != nil {
		return nil, err
	}
	c := &Claim{Folder: folder, Name: name, Taken: s.now().Round(0), studio: s}
	if err := c.makeDir(); err != nil {
		return nil, err
	}
	if err := c.open(); err != nil {
		return nil, errors.Join(err, s.clear(c.ID))
	}
	if err := c.take(from); err != nil {
		_, undo := s.giveBack(c.ID, folder, name)
		return nil, errors.Join(err, undo)
	}
	return c, nil
}

// open fills the claim's directory, and has it on disk where the photograph
// comes from before the photograph leaves there.
func (c *Claim) open() error {
	t := &c.studio.tree
	for _, part := range []string{originalPart, madePart} {
		if err := t.mkdir(c.rel(part)); err != nil {
			return err
		}
	}
	if err := t.writeJSON(c.rel(orderName), order{Folder: diskName(c.Folder), Name: diskName(c.Name), Taken: c.Taken}); err != nil {
		return err
	}
	return t.syncDir(claimsDir)
}

// makeDir finds the claim a name.
func (c *Claim) makeDir() error {
	for {
		c.ID = claimName(c.Taken)
		if err := c.studio.tree.mkdir(c.rel()); !errors.Is(err, fs.ErrExist) {
			return err
		}
	}
}

// take moves the photograph in. The directory it goes to is new and nobody
// else's, so a plain rename has nothing to replace there. What was a file at
// the first look can be another thing now, hence the second.
func (c *Claim) take(from string) error {
	t := &c.studio.tree
	to := c.rel(originalPart, c.Name)
	if err := t.rename(from, to); err != nil {
		return err
	}
	st, err := c.studio.single(to, from)
	if err != nil {
		return err
	}
	c.Size, c.ModTime = st.Size, modTime(st)
	if err := t.syncDir(c.rel(originalPart)); err != nil {
		return err
	}
	if err := t.syncDir(dropPath(c.Folder)); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil // somebody has renamed the folder since
}

// regular looks at rel, and names it called in the sentence when it is not a
// regular file.
func (s *Studio) regular(rel, called string) (unix.Stat_t, error) {
	st, err := s.tree.lstat(rel)
	if err == nil && st.Mode&unix.S_IFMT != unix.S_IFREG {
		err = remedy.Errorf("put the picture itself there", "%s: %w but %s", show(called), ErrNotRegular, kindOf(uint32(st.Mode)))
	}
	return st, err
}

// single is regular for a photograph being claimed, which must have one name
// only. Two names also has, for a moment or until a crash is seen to, one
// that is on its way back to its drop folder by moveByLink: as long as a claim
// holds it, it is not there to be claimed.
func (s *Studio) single(rel, called string) (unix.Stat_t, error) {
	st, err := s.regular(rel, called)
	switch {
	case err != nil || st.Nlink <= 1:
		return st, err
	case s.inOtherHands(st, rel):
		return st, fault(called, "it is still on its way back", fs.ErrNotExist)
	}
	return st, remedy.Errorf("put a copy there", "%s: %w but one of %d names of the same file", show(called), ErrNotRegular, st.Nlink)
}

// inOtherHands reports whether a claim holds the file, under another name than rel.
func (s *Studio) inOtherHands(st unix.Stat_t, rel string) bool {
	ids, _ := s.tree.list(claimsDir)
	for _, id := range ids {
		names, _ := s.tree.list(claimPath(id, originalPart))
		for _, name := range names {
			at := claimPath(id, originalPart, name)
			if other, err := s.tree.lstat(at); err == nil && at != rel && other.Dev == st.Dev && other.Ino == st.Ino {
				return true
			}
		}
	}
	return false
}

// kindOf names the type in a mode of stat(2).
func kindOf(mode uint32) string {
	switch mode & unix.S_IFMT {
	case unix.S_IFREG:
		return "a file"
	case unix.S_IFDIR:
		return "a directory"
	case unix.S_IFLNK:
		return "a link"
	case unix.S_IFIFO:
		return "a named pipe"
	case unix.S_IFSOCK:
		return "a socket"
	default:
		return "a device"
	}
}

func modTime(st unix.Stat_t) time.Time { return time.Unix(st.Mtim.Unix()) }

// Unchanged fails with ErrChanged when the photograph's size or modification
// time is no longer what it was when claimed: a program that had it open went
// on writing. Ask before publishing what was made from it.
func (c *Claim) Unchanged() error {
	st, err := c.studio.regular(c.rel(originalPart, c.Name), dropPath(c.Folder, c.Name))
	if err != nil {
		return err
	}
	if st.Size != c.Size || !modTime(st).Equal(c.ModTime) {
		return remedy.Errorf("it will be taken again once it rests", "%s: %w: some program was still writing it", show(dropPath(c.Folder, c.Name)), ErrChanged)
	}
	return nil
}

// OriginalPath is where the photograph is while claimed, absolute. It is for
// reading.
func (c *Claim) OriginalPath() string { return c.studio.abs(c.rel(originalPart, c.Name)) }

// MadePath is where to make a file called name, absolute. name is the caller's
// own and short; nobody else sees it. One that is not a plain name is a
// mistake in the program and panics.
func (c *Claim) MadePath(name string) string {
	if err := checkName(name); err != nil {
		panic("studio: MadePath: " + err.Error())
	}
	return c.studio.abs(c.rel(madePart, name))
}

// rel is a path inside the claim, relative to the studio.
func (c *Claim) rel(parts ...string) string { return claimPath(c.ID, parts...) }

// dropPath is a path inside drop/, relative to the studio.
func dropPath(folder string, name ...string) string {
	p := dropDir + "/" + folder
	for _, n := range name {
		p += "/" + n
	}
	return p
}
