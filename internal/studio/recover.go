package studio

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"time"

	"golang.org/x/sys/unix"
)

// Kind is how a claim ended.
type Kind string

const (
	Published Kind = "publish" // the print is in outbox/, the original in originals/
	Held      Kind = "hold"    // the original and the reason are in held/
	Returned  Kind = "return"  // the original is back in its drop folder
	Cleared   Kind = "clear"   // there was no original in it; its remains are removed
	Left      Kind = "left"    // not understood; left alone for a person to look at
	TakenOver Kind = "upgrade" // no claim: the studio of an earlier version
)

// lastStopped is when the process ended that had a claim in hand, in a sentence.
const lastStopped = "when sizewright last stopped"

// Recovered is one claim that the last run left behind, and what became of it; or what
// an earlier version left.
type Recovered struct {
	Outcome
	ID     string
	Folder string // "" if not known
	Name   string // "" if not known
	Kind   Kind
	Text   string // one sentence for the log and the morning report
}

// Recover puts right what a crash, a kill or a power cut left: decided claims
// are finished, others undone. A studio of an earlier version is taken over. Call it at the start, with the studio locked and
// before claiming anything.
// It deletes no original, and leaves alone and reports what it does not
// understand. An error means that some claim could not be recovered now (a full
// disk, say) or its interruption not counted; it is as safe as it was, the
// others were seen to, and the studio can be used.
func (s *Studio) Recover() (all []Recovered, err error) {
	if !s.locked.Load() {
		return nil, errNotLocked(s.dir)
	}
	ids, err := s.tree.list(claimsDir)
	faults := []error{s.clearTemp(), err}
	for _, id := range ids {
		r, err := s.recoverClaim(id)
		if r.Kind != "" {
			all = append(all, r)
		}
		faults = append(faults, err)
	}
	earlier, err := s.takeOver()
	return append(all, earlier...), errors.Join(append(faults, err)...)
}

// recoverClaim ends a claim that an earlier process left. One with an error and a kind
// is ended all the same.
func (s *Studio) recoverClaim(id string) (Recovered, error) {
	var j journal
	switch err := s.tree.readJSON(claimPath(id, journalName), &j); {
	case err == nil:
		return s.recoverDecided(id, &j)
	case !errors.Is(err, fs.ErrNotExist):
		return leave(id, err), nil
	}
	var o order
	switch err := s.tree.readJSON(claimPath(id, orderName), &o); {
	case err == nil:
		return s.recoverUndecided(id, o)
	case !errors.Is(err, fs.ErrNotExist):
		return leave(id, err), nil
	}
	return s.recoverStray(id), nil
}

// recoverStray sees to a claim without an order: stopped before that was
// written, or while being removed. Either way it holds no original; one that
// does is none that sizewright left.
func (s *Studio) recoverStray(id string) Recovered {
	names, err := s.tree.list(claimPath(id, originalPart))
	if err == nil && len(names) > 0 {
		err = errors.New("a picture with no " + orderName + " to say where it came from")
	}
	if err == nil {
		err = s.clear(id)
	}
	if err != nil {
		return leave(id, err)
	}
	return Recovered{ID: id, Kind: Cleared, Text: "a claim with nothing in it was removed"}
}

func (s *Studio) recoverDecided(id string, j *journal) (Recovered, error) {
	out, err := s.carryOut(id, j)
	if err != nil {
		return Recovered{}, err
	}
	if st, err := s.tree.lstat(out.Original); err == nil {
		s.endedWell(string(j.Folder), string(j.Name), st.Size, modTime(st))
	}
	r := Recovered{Outcome: out, ID: id, Folder: string(j.Folder), Name: string(j.Name), Kind: j.Kind}
	dirs := j.targets()
	what := "the print was ready " + lastStopped + ", and is now in " + show(dirs[len(dirs)-1])
	if j.Kind == Held {
		what = "was to be held " + lastStopped + ", and is now in " + show(dirs[0])
	}
	r.Text = fmt.Sprintf("%s: %s%s", show(dropPath(r.Folder, r.Name)), what, renamedText(out.Renamed))
	return r, nil
}

func (s *Studio) recoverUndecided(id string, o order) (Recovered, error) {
	r := Recovered{ID: id, Folder: string(o.Folder), Name: string(o.Name), Kind: Returned}
	wanted := dropPath(r.Folder, r.Name)
	// Before it goes back: once there, somebody may claim it and die.
	st, look := s.tree.lstat(claimPath(id, originalPart, r.Name))
	var uncounted error
	if look == nil && st.Mode&unix.S_IFMT == unix.S_IFREG {
		uncounted = s.interrupted(o, st)
	}
	to, err := s.giveBack(id, r.Folder, r.Name)
	switch {
	case to == "" && err != nil && (s.hasOriginal(id, r.Name) || !errors.Is(err, unix.ENOTEMPTY)):
		return Recovered{}, err
	case to == "" && err != nil: // a foreign file
		return leave(id, err), nil
	case to == "":
		r.Kind, r.Text = Cleared, show(wanted)+": a claim that had ended was removed"
		return r, nil
	}
	r.Original, r.Untidy = to, err
	if to != wanted {
		r.Renamed = []Renamed{{wanted, to}}
		if uncounted == nil {
			uncounted = s.renamedInterrupted(o, path.Base(to), st)
		}
	}
	r.Text = fmt.Sprintf("%s: was in hand %s, and is back in its drop folder%s", show(wanted), lastStopped, renamedText(r.Renamed))
	return r, uncounted
}

func (s *Studio) hasOriginal(id, name string) bool {
	_, err := s.tree.lstat(claimPath(id, originalPart, name))
	return !errors.Is(err, fs.ErrNotExist)
}

// renamedText tells of files that could not have the name they were to have.
func renamedText(renamed []Renamed) string {
	var b strings.Builder
	for _, r := range renamed {
		fmt.Fprintf(&b, "; %s was taken by another file, so it is %s", show(r.Wanted), show(r.Got))
	}
	return b.String()
}

// leave reports a claim whose files are not understood.
func leave(id string, why error) Recovered {
	return Recovered{ID: id, Kind: Left, Text: fmt.Sprintf("%s: not what sizewright leaves there, so left alone; look inside and move out what is yours (%v)", show(claimPath(id)), why)}
}

// staleTemp is how old a half-written page must be to be taken for abandoned:
// another command may be writing one this moment without the lock.
const staleTemp = time.Hour

// clearTemp removes pages that were never finished.
func (s *Studio) clearTemp() error {
	names, err := s.tree.list(tempDir)
	faults := []error{err}
	for _, name := range names {
		rel := tempDir + "/" + name
		st, err := s.tree.lstat(rel)
		if err != nil || st.Mode&unix.S_IFMT != unix.S_IFREG || time.Since(modTime(st)) < staleTemp {
			continue
		}
		faults = append(faults, s.tree.discard(rel))
	}
	return errors.Join(faults...)
}
