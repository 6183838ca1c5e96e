package studio

import (
	"strings"

	"golang.org/x/sys/unix"

	"sizewright/internal/filename"
)

// Names are what the files of one claim will be called, and where.
type Names struct {
	// Stem and a suffix make the name of each made file.
	Stem string
	// Original is the photograph's own name as [filename.Safe] has it, or that with a
	// number when the folder it goes to has one of that name.
	Original string
	// MadeIn and OriginalIn are the folders they go to, relative to the studio:
	// outbox/A2, originals/A2. "" is that of the drop folder's own name made safe.
	MadeIn, OriginalIn string
}

// Names chooses names for Publish: the first of hint, hint-2, hint-3... with
// which no suffix is in use in the outbox's folder, and the first free name for
// the original in that of originals. Names differing only in letter case or
// in how accents are encoded count as one. hint is usually the photograph's
// name without its extension; what cannot be opened everywhere (see package
// filename) is made safe, and it is shortened where it would pass 255 bytes with
// the longest suffix.
//
// Names reserves nothing. When another print takes a name first, Publish says
// ErrNameTaken and the caller chooses again.
func (c *Claim) Names(hint string, suffixes ...string) (n Names, err error) {
	made, err := c.chooseIn(outboxDir, &n.MadeIn)
	if err != nil {
		return Names{}, err
	}
	originals, err := c.chooseIn(originalsDir, &n.OriginalIn)
	if err != nil {
		return Names{}, err
	}
	stem := cleanStem(hint)
	err = firstFree(func(i int) bool {
		n.Stem = numberedStem(stem, i, longest(suffixes))
		return made.free(withSuffixes(n.Stem, suffixes)...)
	})
	if err != nil {
		return Names{}, fault(n.MadeIn, "no name for the print of "+show(c.Name), err)
	}
	original := filename.Safe(c.Name)
	err = firstFree(func(i int) bool {
		n.Original = numberedName(original, i)
		return originals.free(n.Original)
	})
	if err != nil {
		return Names{}, fault(n.OriginalIn, "no name for "+show(c.Name), err)
	}
	return n, nil
}

// HeldNames chooses names for Hold: all in the one folder of held, where the files
// made go beside the original and carry its whole name (marsh.jpg, marsh.jpg.txt),
// so that a reason is seen to belong to its picture. As Names, it reserves
// nothing.
func (c *Claim) HeldNames(suffixes ...string) (n Names, err error) {
	held, err := c.chooseIn(heldDir, &n.OriginalIn)
	if err != nil {
		return Names{}, err
	}
	n.MadeIn = n.OriginalIn
	original := filename.Safe(c.Name)
	err = firstFree(func(i int) bool {
		n.Original = numberedName(original, i)
		n.Stem = besideStem(n.Original, longest(suffixes))
		return held.free(append(withSuffixes(n.Stem, suffixes), n.Original)...)
	})
	if err != nil {
		return Names{}, fault(n.OriginalIn, "no name for "+show(c.Name), err)
	}
	return n, nil
}

// chooseIn is the folder of top for this claim, and the names that are taken there.
func (c *Claim) chooseIn(top string, dir *string) (taken nameSet, err error) {
	if *dir, err = c.studio.folderIn(top, c.Folder); err != nil {
		return nil, err
	}
	return c.studio.takenIn(c.ID, *dir)
}

// folderIn is the folder of top that a drop folder's files go to: one of its path with
// each name made safe. Where there is only one that a share takes for the same (a2 for
// A2), it is that, for of two such a share shows one.
func (s *Studio) folderIn(top, folder string) (dir string, err error) {
	dir = top
	for name := range strings.SplitSeq(folder, "/") {
		if dir, err = s.childOf(dir, name); err != nil {
			return "", err
		}
	}
	return dir, nil
}

// childOf is folderIn for one name.
func (s *Studio) childOf(top, folder string) (string, error) {
	safe := filename.Safe(folder)
	names, err := s.tree.list(top)
	if err != nil {
		return "", err
	}
	same := ""
	for _, name := range names {
		switch {
		case name == safe:
			return top + "/" + safe, nil
		case same == "" && filename.Fold(name) == filename.Fold(safe) && s.isDir(top+"/"+name):
			same = name
		}
	}
	if same != "" {
		return top + "/" + same, nil
	}
	return top + "/" + safe, nil
}

func (s *Studio) isDir(rel string) bool {
	st, err := s.tree.lstat(rel)
	return err == nil && st.Mode&unix.S_IFMT == unix.S_IFDIR
}

// besideStem is the stem of files lying beside an original. One that must be
// shortened ends in "_", or an original named ".json" could be its own record.
func besideStem(original string, room int) string {
	stem := cleanStem(original)
	if len(stem)+room > maxName {
		stem = filename.Shorten(stem, maxName-room-1) + "_"
	}
	return stem
}

// namesIn returns the names in use in a directory of the studio.
func (s *Studio) namesIn(dir string) (nameSet, error) {
	names, err := s.tree.list(dir)
	if err != nil {
		return nil, err
	}
	set := make(nameSet, len(names))
	set.addAll(names...)
	return set, nil
}
