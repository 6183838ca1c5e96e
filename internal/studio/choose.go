package studio

// Names are what the files of one claim will be called.
type Names struct {
	// Stem and a suffix make the name of each made file.
	Stem string
	// Original is the photograph's own name, or that with a number when the
	// folder it goes to has one of that name.
	Original string
}

// Names chooses names for Publish: the first of hint, hint-2, hint-3... with
// which no suffix is in use in outbox/<folder>, and the first free name for
// the original in originals/<folder>. Names differing only in letter case or
// in how accents are encoded count as one. hint is usually the photograph's
// name without its extension; characters no file name should have become "_",
// and it is shortened where it would pass 255 bytes with the longest suffix.
//
// Names reserves nothing. When another print takes a name first, Publish says
// ErrNameTaken and the caller chooses again.
func (c *Claim) Names(hint string, suffixes ...string) (n Names, err error) {
	made, err := c.studio.takenIn(c.ID, outboxDir+"/"+c.Folder)
	if err != nil {
		return Names{}, err
	}
	originals, err := c.studio.takenIn(c.ID, originalsDir+"/"+c.Folder)
	if err != nil {
		return Names{}, err
	}
	stem := cleanStem(hint)
	err = firstFree(func(i int) bool {
		n.Stem = numberedStem(stem, i, longest(suffixes))
		return made.free(withSuffixes(n.Stem, suffixes)...)
	})
	if err != nil {
		return Names{}, fault(outboxDir+"/"+c.Folder, "no name for the print of "+show(c.Name), err)
	}
	err = firstFree(func(i int) bool {
		n.Original = numberedName(c.Name, i)
		return originals.free(n.Original)
	})
	if err != nil {
		return Names{}, fault(originalsDir+"/"+c.Folder, "no name for "+show(c.Name), err)
	}
	return n, nil
}

// HeldNames chooses names for Hold: all in held/<folder>, where the files made
// go beside the original and carry its whole name (marsh.jpg, marsh.jpg.txt),
// so that a reason is seen to belong to its picture. As Names, it reserves
// nothing.
func (c *Claim) HeldNames(suffixes ...string) (n Names, err error) {
	held, err := c.studio.takenIn(c.ID, heldDir+"/"+c.Folder)
	if err != nil {
		return Names{}, err
	}
	err = firstFree(func(i int) bool {
		n.Original = numberedName(c.Name, i)
		n.Stem = besideStem(n.Original, longest(suffixes))
		return held.free(append(withSuffixes(n.Stem, suffixes), n.Original)...)
	})
	if err != nil {
		return Names{}, fault(heldDir+"/"+c.Folder, "no name for "+show(c.Name), err)
	}
	return n, nil
}

// besideStem is the stem of files lying beside an original. One that must be
// shortened ends in "_", or an original named ".json" could be its own record.
func besideStem(original string, room int) string {
	stem := cleanStem(original)
	if len(stem)+room > maxName {
		stem = shorten(stem, maxName-room-1) + "_"
	}
	return stem
}

// namesIn is the names in use in a directory of the studio.
func (s *Studio) namesIn(dir string) (nameSet, error) {
	names, err := s.tree.list(dir)
	if err != nil {
		return nil, err
	}
	set := make(nameSet, len(names))
	set.addAll(names...)
	return set, nil
}
