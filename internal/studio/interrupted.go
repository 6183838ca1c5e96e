package studio

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"golang.org/x/sys/unix"
)

// A photograph that kills the process is back in its drop folder after the
// next start, and would kill it again. So each time a claim is given back since
// the process died with it in hand, that is counted, in a small file under
// .sizewright/interrupted named after what the photograph is: its folder,
// name, size and modification time. One that has changed is another.

// interruptions is such a file.
type interruptions struct {
	Folder diskName  `json:"folder"`
	Name   diskName  `json:"name"`
	Count  int       `json:"count"`
	Last   time.Time `json:"last"` // when the claim last interrupted was taken
}

func (i interruptions) check() error {
	if i.Count < 1 {
		return fmt.Errorf("a count of %d", i.Count)
	}
	return nil
}

// Bounds on what is remembered: photographs taken away by their owners are
// never heard of again.
const (
	mostInterrupted = 1000
	keepInterrupted = 60 * 24 * time.Hour
)

// Interruptions is how often a process died with this photograph in hand, as far
// as is known: 0 for one that is new, has changed, or ended well since.
func (s *Studio) Interruptions(folder, name string, size int64, modTime time.Time) int {
	var i interruptions
	if s.tree.readJSON(interruptedPath(folder, name, size, modTime), &i) != nil {
		return 0
	}
	return i.Count
}

// interrupted counts that a process died with a claim in hand. A claim counts
// once, however often its recovery is itself interrupted: it is known by the
// moment it was taken.
func (s *Studio) interrupted(o order, st unix.Stat_t) error {
	rel := interruptedPath(string(o.Folder), string(o.Name), st.Size, modTime(st))
	i := interruptions{Folder: o.Folder, Name: o.Name}
	s.tree.readJSON(rel, &i) // one that cannot be read begins anew
	if i.Count > 0 && i.Last.Equal(o.Taken) {
		return nil
	}
	i.Count++
	i.Last = o.Taken
	if err := s.boundInterrupted(); err != nil {
		return err
	}
	data, err := json.Marshal(i)
	if err != nil {
		return fault(rel, "cannot be written", err)
	}
	return s.tree.replace(rel, tempName(), append(data, '\n'))
}

// renamedInterrupted keeps the count of a photograph that could not be put back
// under its own name.
func (s *Studio) renamedInterrupted(o order, name string, st unix.Stat_t) error {
	from := interruptedPath(string(o.Folder), string(o.Name), st.Size, modTime(st))
	return s.tree.rename(from, interruptedPath(string(o.Folder), name, st.Size, modTime(st)))
}

// endedWell forgets a photograph's interruptions.
func (s *Studio) endedWell(folder, name string, size int64, modTime time.Time) {
	s.tree.discard(interruptedPath(folder, name, size, modTime)) // else time does
}

// boundInterrupted makes room for one more.
func (s *Studio) boundInterrupted() error {
	names, err := s.tree.list(interruptedDir)
	if err != nil || len(names) == 0 {
		return err
	}
	type aged struct {
		name string
		time time.Time
	}
	var all []aged
	for _, name := range names {
		if st, err := s.tree.lstat(interruptedDir + "/" + name); err == nil && st.Mode&unix.S_IFMT == unix.S_IFREG {
			all = append(all, aged{name, modTime(st)})
		}
	}
	slices.SortFunc(all, func(a, b aged) int { return cmp.Or(b.time.Compare(a.time), cmp.Compare(a.name, b.name)) })
	var faults []error
	for n, a := range all {
		if n >= mostInterrupted-1 || time.Since(a.time) > keepInterrupted {
			faults = append(faults, s.tree.discard(interruptedDir+"/"+a.name))
		}
	}
	return errors.Join(faults...)
}

func interruptedPath(folder, name string, size int64, modTime time.Time) string {
	// No name on Linux holds a zero byte, so no two photographs make one key.
	key := fmt.Sprintf("%s\x00%s\x00%d\x00%d", folder, name, size, modTime.UnixNano())
	sum := sha256.Sum256([]byte(key))
	return interruptedDir + "/" + hex.EncodeToString(sum[:16])
}
