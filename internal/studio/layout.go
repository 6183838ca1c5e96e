package studio

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"golang.org/x/sys/unix"

	"sizewright/internal/printsize"
	"sizewright/internal/remedy"
)

// The studio's own names, relative to its root.
const (
	configName   = "sizewright.toml"
	dropDir      = "drop"
	outboxDir    = "outbox"
	heldDir      = "held"
	originalsDir = "originals"
	printedDir   = "printed"
	stateDir     = ".sizewright"
	morningName  = printsize.Reports
	morningDir   = outboxDir + "/" + morningName
	claimsDir    = stateDir + "/claims"
	tempDir      = stateDir + "/tmp"
	lockName     = stateDir + "/lock"
	statusName   = stateDir + "/status.json"
	formatName   = stateDir + "/format"
	turnName     = stateDir + "/turn" // held by who writes a record again

	interruptedDir = stateDir + "/interrupted"
)

// ownDirs is every directory a studio has, parents first.
var ownDirs = []string{dropDir, outboxDir, morningDir, heldDir, originalsDir, printedDir, stateDir, claimsDir, tempDir, interruptedDir}

// Studio is one opened studio. Its methods may be called from any goroutine.
// It holds the root directory open, so a studio moved while in use is still
// the same studio to it.
type Studio struct {
	dir  string // absolute, for people and for packages that only read
	tree tree

	locked   atomic.Bool
	telling  sync.Mutex // guards says
	says     presence
	deciding sync.Mutex // held from the check that names are free to the last move

	now func() time.Time // for order.json; tests have their own
}

// Open opens the studio at dir. It makes any of the studio's own directories
// that are missing, except drop/, whose absence means that dir is no studio
// (ErrNotStudio). It changes nothing else. A studio that a later version has worked at
// is refused (ErrNewer).
func Open(dir string) (*Studio, error) {
	s, err := openRoot(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, remedy.Errorf(layOut(dir), "%s: %w: there is no such directory", show(dir), ErrNotStudio)
	}
	if err != nil {
		return nil, err
	}
	switch _, err := s.tree.lstat(dropDir); {
	case errors.Is(err, fs.ErrNotExist):
		s.Close()
		return nil, remedy.Errorf(layOut(dir), "%s: %w: it has no drop directory", show(dir), ErrNotStudio)
	case err != nil:
		s.Close()
		return nil, err
	}
	if err := s.makeOwnDirs(); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// openRoot opens dir. The path to the studio may lead through links, and no path inside
// it may.
func openRoot(dir string) (*Studio, error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return nil, fmt.Errorf("%s: cannot tell where this is: %w", show(dir), err)
	}
	root, err := os.OpenFile(abs, os.O_RDONLY|unix.O_DIRECTORY, 0)
	if err != nil {
		return nil, fault(dir, "cannot open the studio", err)
	}
	s := &Studio{dir: abs, tree: tree{root: root}, now: time.Now}
	if err := s.checkFormat(); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// makeOwnDirs adds what is missing and checks that all of it lies on one file
// system, since a rename cannot cross from one to another.
func (s *Studio) makeOwnDirs() error {
	for _, dir := range ownDirs {
		if err := s.tree.ensureDir(dir); err != nil {
			return err
		}
	}
	home, err := s.tree.lstat(claimsDir)
	if err != nil {
		return err
	}
	for _, dir := range ownDirs {
		st, err := s.tree.lstat(dir)
		if err != nil {
			return err
		}
		if st.Dev != home.Dev {
			return fault(dir, "cannot be used", unix.EXDEV)
		}
	}
	return nil
}

// Close gives back the studio's root directory. Claims still open cannot be
// used afterwards; Recover will see to them at the next start.
func (s *Studio) Close() error { return s.tree.root.Close() }

// Root is the studio's directory, absolute. The paths below are under it.
func (s *Studio) Root() string { return s.dir }

// ConfigPath is where sizewright.toml is, or would be.
func (s *Studio) ConfigPath() string { return s.abs(configName) }

// Temp is for files that no crash may leave behind for long.
func (s *Studio) Temp() string { return s.abs(tempDir) }

// Drop is where the drop folders are.
func (s *Studio) Drop() string { return s.abs(dropDir) }

// Outbox is where prints go.
func (s *Studio) Outbox() string { return s.abs(outboxDir) }

// Held is where originals go that were not made.
func (s *Studio) Held() string { return s.abs(heldDir) }

// Originals is where originals go that were made.
func (s *Studio) Originals() string { return s.abs(originalsDir) }

// MorningDir is where the morning reports are.
func (s *Studio) MorningDir() string { return s.abs(morningDir) }

func (s *Studio) abs(rel string) string { return filepath.Join(s.dir, rel) }

func layOut(dir string) string { return "lay one out with `sizewright init " + show(dir) + "`" }
