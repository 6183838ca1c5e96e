package studio

import (
	"fmt"
	"os"
	"path"
	"path/filepath"
	"strings"
	"time"

	"golang.org/x/sys/unix"
)

// PrintedFile is a file that a person put into printed/.
type PrintedFile struct {
	Path    string // from the studio's root, with slashes: printed/A2/marsh.tif
	Bytes   int64
	ModTime time.Time
}

// mostDeep is how many folders deep printed/ is looked into.
const mostDeep = 16

// Printed lists the TIFFs in printed/ and its folders. What cannot be looked into is
// passed over.
func (s *Studio) Printed() []PrintedFile { return s.printedIn(printedDir, 0) }

func (s *Studio) printedIn(dir string, depth int) (all []PrintedFile) {
	names, _ := s.tree.list(dir)
	for _, name := range names {
		at := path.Join(dir, name)
		st, err := s.tree.lstat(at)
		switch {
		case err != nil:
		case st.Mode&unix.S_IFMT == unix.S_IFDIR && depth < mostDeep:
			all = append(all, s.printedIn(at, depth+1)...)
		case st.Mode&unix.S_IFMT == unix.S_IFREG && strings.EqualFold(path.Ext(name), ".tif"):
			all = append(all, PrintedFile{at, st.Size, modTime(st)})
		}
	}
	return all
}

// Holds tells whether a regular file of so many bytes lies at a path of the studio.
func (s *Studio) Holds(rel string, bytes int64) bool {
	st, err := s.regular(rel, rel)
	return err == nil && st.Size == bytes
}

// Rewrite gives a record in the outbox what change makes of it, in one step and safely on
// disk, or leaves it if that is nil. Of several that rewrite records, in several processes, each sees what the one
// before it wrote.
func (s *Studio) Rewrite(rel string, change func(data []byte) ([]byte, error)) error {
	if !strings.HasPrefix(rel, outboxDir+"/") || strings.HasPrefix(rel, morningDir+"/") || path.Ext(rel) != ".json" || rel != path.Clean(rel) {
		return fmt.Errorf("%s: only records in %s are written again", show(rel), outboxDir)
	}
	return s.inTurn(func() error {
		if _, err := s.regular(rel, rel); err != nil {
			return err
		}
		data, err := s.tree.read(rel)
		if err != nil {
			return err
		}
		if data, err = change(data); err != nil {
			return fmt.Errorf("%s: %w", show(rel), err)
		}
		if data == nil {
			return nil
		}
		return s.tree.replace(rel, tempName(), data)
	})
}

// RemovePrint removes a TIFF in outbox/ or printed/, and its name for good. One that is gone
// is no error.
func (s *Studio) RemovePrint(rel string) error {
	within := strings.HasPrefix(rel, outboxDir+"/") || strings.HasPrefix(rel, printedDir+"/")
	if !within || !strings.EqualFold(path.Ext(rel), ".tif") || rel != path.Clean(rel) || !filepath.IsLocal(rel) {
		return fmt.Errorf("%s: only prints in %s and %s are removed", show(rel), outboxDir, printedDir)
	}
	if err := s.tree.discard(rel); err != nil {
		return err
	}
	return s.tree.syncDir(path.Dir(rel))
}

// InTurn does what no removal of a printed print may come between.
func (s *Studio) InTurn(do func() error) error { return s.inTurn(do) }

// inTurn does one thing at a time, over all processes at this studio.
func (s *Studio) inTurn(do func() error) error {
	if err := s.tree.ensureDir(stateDir); err != nil {
		return err
	}
	return s.tree.in(turnName, func(dir *os.File, name string) error {
		f, err := openAt(dir, name, unix.O_RDWR|unix.O_CREAT, fileMode)
		if err != nil {
			return fault(turnName, "cannot open it", err)
		}
		defer f.Close() // which lets go
		if err := again(func() error { return unix.Flock(int(f.Fd()), unix.LOCK_EX) }); err != nil {
			return fault(turnName, "cannot be locked", err)
		}
		return do()
	})
}
