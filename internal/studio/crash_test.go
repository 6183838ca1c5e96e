package studio

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
)

// errCrash is what every change after a crash meets: the process is no more.
var errCrash = errors.New("crashed")

// crashAfter lets n changes through and fails all that follow. A file being
// written at that moment is left half-written. It gives a counter of changes.
func crashAfter(s *Studio, n int) *int {
	seen := new(int)
	s.tree.before = func(c change) error {
		*seen++
		if *seen <= n {
			return nil
		}
		if *seen == n+1 && c.op == "write" {
			os.WriteFile(s.abs(c.from), []byte(`{"fold`), 0o666)
		}
		return errCrash
	}
	return seen
}

const (
	thePhotograph   = "a salt marsh at dawn"
	theirPhotograph = "somebody's earlier picture"
)

// stories are the ways of a photograph through the studio. Each leaves the
// state of the disk to be judged, whatever error it met on the way.
var stories = map[string]func(s *Studio, c *Claim) error{
	"published": func(s *Studio, c *Claim) error {
		_, err := published(c, "marsh", thePhotograph)
		return err
	},
	"held": func(s *Studio, c *Claim) error {
		_, err := heldBack(c)
		return err
	},
	"returned": func(s *Studio, c *Claim) error {
		if err := os.WriteFile(c.MadePath("print"), []byte("half a pri"), 0o666); err != nil {
			return err
		}
		_, err := c.Return()
		return err
	},
}

// eachWay runs a test for each story on both kinds of file system.
func eachWay(t *testing.T, test func(t *testing.T, linkOnly bool, story func(*Studio, *Claim) error)) {
	for name, story := range stories {
		for _, linkOnly := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s/linkOnly=%v", name, linkOnly), func(t *testing.T) { test(t, linkOnly, story) })
		}
	}
}

// scene gives a studio with a photograph waiting, its name already taken in
// originals and held.
func scene(t *testing.T) (dir string) {
	t.Helper()
	dir = memoryDir(t)
	at := &Studio{dir: dir}
	put(t, at, "drop/A2/marsh.jpg", thePhotograph)
	for _, taken := range []string{"originals/A2/marsh.jpg", "held/A2/marsh.jpg"} {
		put(t, at, taken, theirPhotograph)
	}
	for _, own := range ownDirs {
		if err := os.MkdirAll(at.abs(own), dirMode); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// resumed is started without what scene has seen to, for tests that start
// thousands of times.
func resumed(t *testing.T, dir string, linkOnly bool) (s *Studio, die func()) {
	t.Helper()
	s, err := openRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	s.locked.Store(true)
	s.tree.linkOnly = linkOnly
	return s, func() { s.Close() }
}

// play claims the photograph and lets the story happen to it.
func play(s *Studio, story func(*Studio, *Claim) error) error {
	c, err := s.Claim("A2", "marsh.jpg")
	if err != nil {
		return err
	}
	return story(s, c)
}

// judge fails unless all is well: for use after Recover.
func judge(t *testing.T, s *Studio) {
	t.Helper()
	at := places(t, s, thePhotograph)
	if len(at) != 1 {
		t.Errorf("the photograph is at %q, want one place", at)
		return
	}
	sets := checkSets(t, s)
	switch at[0] {
	case "originals/A2/marsh-2.jpg":
		if sets != 1 {
			t.Errorf("%d sets of prints for an original in originals", sets)
		}
	case "held/A2/marsh-2.jpg":
		if get(t, s, "held/A2/marsh-2.jpg.txt") != "too small" || get(t, s, "held/A2/marsh-2.jpg.json") != "{}" {
			t.Error("held without its reason")
		}
	case "drop/A2/marsh.jpg":
		if sets != 0 {
			t.Errorf("%d sets of prints for a photograph still to be made", sets)
		}
	default:
		t.Errorf("the photograph is at %s", at[0])
	}
	wantPlaces(t, s, theirPhotograph, "held/A2/marsh.jpg", "originals/A2/marsh.jpg")
	if left := claimsLeft(t, s); len(left) != 0 {
		t.Errorf("claims left: %v", left)
	}
	if t.Failed() {
		for rel := range files(t, s.dir) {
			t.Log(rel)
		}
	}
}

// crashed plays the story, stopped after n changes; done tells that it came
// through to its end.
func crashed(t *testing.T, dir string, n int, linkOnly bool, story func(*Studio, *Claim) error) (done bool) {
	t.Helper()
	s, die := resumed(t, dir, linkOnly)
	defer die()
	seen := crashAfter(s, n)
	play(s, story)
	wholeOrAbsent(t, s, thePhotograph)
	if at := places(t, s, thePhotograph); len(at) != 1 && !(linkOnly && len(at) == 2 && s.tree.same(at[0], at[1])) {
		t.Errorf("after %d changes the photograph is at %q", n, at)
	}
	return *seen <= n
}

// restarted recovers, stopped after n changes.
func restarted(t *testing.T, dir string, n int, linkOnly bool) (done bool) {
	t.Helper()
	s, die := resumed(t, dir, linkOnly)
	defer die()
	seen := crashAfter(s, n)
	s.Recover()
	wholeOrAbsent(t, s, thePhotograph)
	return *seen <= n
}

// settled recovers undisturbed and judges; a second start must find nothing.
func settled(t *testing.T, dir string, linkOnly bool) {
	t.Helper()
	s, die := resumed(t, dir, linkOnly)
	defer die()
	recovered(t, s)
	judge(t, s)
	if r := recovered(t, s); len(r) != 0 {
		t.Errorf("a second recovery found %+v", r)
	}
}

func TestACrashBetweenAnyTwoChangesLosesNothing(t *testing.T) {
	eachWay(t, func(t *testing.T, linkOnly bool, story func(*Studio, *Claim) error) {
		n := 0
		for done := false; !done; n++ {
			dir := scene(t)
			done = crashed(t, dir, n, linkOnly, story)
			settled(t, dir, linkOnly)
			if t.Failed() {
				t.Fatalf("a crash after %d changes did this", n)
			}
		}
		if n < 20 {
			t.Errorf("only %d places to crash: is every change announced?", n)
		}
		t.Logf("%d places to crash", n)
	})
}

// The files of others, to which no link may be made, where the file system has no rename
// that replaces nothing: as on NFS, with a studio of several users.
func TestACrashWhereNoLinkMayBeMadeLosesNothing(t *testing.T) {
	for name, story := range stories {
		t.Run(name, func(t *testing.T) {
			for n, done := 0, false; !done; n++ {
				dir := scene(t)
				s, die := resumed(t, dir, true)
				s.tree.noLink = true
				seen := crashAfter(s, n)
				play(s, story)
				wholeOrAbsent(t, s, thePhotograph)
				if at := places(t, s, thePhotograph); len(at) != 1 {
					t.Errorf("the photograph is at %q", at)
				}
				done = *seen <= n
				die()
				s, die = resumed(t, dir, true)
				s.tree.noLink = true
				recovered(t, s)
				judge(t, s)
				die()
				noLinks(t, dir)
				if t.Failed() {
					t.Fatalf("a crash after %d changes did this", n)
				}
			}
		})
	}
}

// noLinks fails if a mark of a move is left.
func noLinks(t *testing.T, dir string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err == nil && d.Type()&fs.ModeSymlink != 0 {
			t.Errorf("%s is a link", path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// A name that somebody has taken is left to them, be it by a link.
func TestAMoveByAMarkReplacesNothing(t *testing.T) {
	s := laidOut(t, t.TempDir())
	s.tree.linkOnly, s.tree.noLink = true, true
	put(t, s, "held/A2/theirs.jpg", theirPhotograph)
	if err := os.Symlink("elsewhere", s.abs("held/A2/link.jpg")); err != nil {
		t.Fatal(err)
	}
	put(t, s, "originals/A2/ours.jpg", thePhotograph)
	for _, to := range []string{"held/A2/theirs.jpg", "held/A2/link.jpg"} {
		if err := s.tree.move("originals/A2/ours.jpg", to); !errors.Is(err, fs.ErrExist) {
			t.Errorf("%s: %v", to, err)
		}
	}
	if to, _ := os.Readlink(s.abs("held/A2/link.jpg")); to != "elsewhere" {
		t.Error("the link was replaced")
	}
	wantPlaces(t, s, theirPhotograph, "held/A2/theirs.jpg")
	wantPlaces(t, s, thePhotograph, "originals/A2/ours.jpg")
}

func TestACrashWhileRecoveringFromACrashLosesNothing(t *testing.T) {
	eachWay(t, func(t *testing.T, linkOnly bool, story func(*Studio, *Claim) error) {
		pairs := 0
		// Every crash, each recovered with a crash at every seventh change, the
		// first of them moving along: all changes are met several times.
		for n, done := 0, false; !done; n++ {
			for m, rested := n%7, false; !rested; m += 7 {
				dir := scene(t)
				done = crashed(t, dir, n, linkOnly, story)
				rested = restarted(t, dir, m, linkOnly)
				settled(t, dir, linkOnly)
				os.RemoveAll(dir)
				if t.Failed() {
					t.Fatalf("crashes after %d changes and after %d of recovery did this", n, m)
				}
				pairs++
			}
		}
		t.Logf("%d pairs of crashes", pairs)
	})
}

func TestAnyOneChangeFailingLosesNothing(t *testing.T) {
	full := errors.New("no space left on device")
	eachWay(t, func(t *testing.T, linkOnly bool, story func(*Studio, *Claim) error) {
		for n, done := 1, false; !done; n++ {
			dir := scene(t)
			s, die := resumed(t, dir, linkOnly)
			seen := 0
			s.tree.before = func(change) error {
				if seen++; seen == n {
					return full
				}
				return nil
			}
			c, err := s.Claim("A2", "marsh.jpg")
			if err == nil {
				if err = story(s, c); err != nil && !c.over {
					_, err = c.Return() // what a caller does with a claim it cannot end
				}
			} else if at := places(t, s, thePhotograph); len(at) != 1 || at[0] != "drop/A2/marsh.jpg" {
				t.Errorf("a claim that failed left the photograph at %q", at)
			}
			if err != nil && !errors.Is(err, full) {
				t.Errorf("change %d failing was told as %v", n, err)
			}
			wholeOrAbsent(t, s, thePhotograph)
			done = seen < n
			die()
			settled(t, dir, linkOnly)
			if t.Failed() {
				t.Fatalf("change %d failing did this", n)
			}
		}
	})
}

func TestANameTakenWhileStoppedAfterTheDecision(t *testing.T) {
	dir := t.TempDir()
	s := laidOut(t, dir)
	put(t, s, "drop/A2/marsh.jpg", thePhotograph)
	s.tree.before = func(c change) error {
		if c.from != "" && c.to == "originals/A2/marsh.jpg" {
			return errCrash
		}
		return nil
	}
	if err := play(s, stories["published"]); !errors.Is(err, errCrash) {
		t.Fatal(err)
	}
	s.tree.before = nil
	put(t, s, "originals/A2/marsh.jpg", theirPhotograph)
	put(t, s, "outbox/A2/marsh.tif", "somebody's")
	r := recovered(t, s)
	if len(r) != 1 || r[0].Kind != Published || len(r[0].Renamed) != 2 {
		t.Fatalf("%+v", r)
	}
	wantPlaces(t, s, thePhotograph, "originals/A2/marsh-2.jpg")
	wantPlaces(t, s, theirPhotograph, "originals/A2/marsh.jpg")
	wantPlaces(t, s, "somebody's", "outbox/A2/marsh.tif")
	wantPlaces(t, s, pretendPrint(".tif", thePhotograph), "outbox/A2/marsh-2.tif")
	const want = "drop/A2/marsh.jpg: the print was ready when sizewright last stopped, and is now in outbox/A2" +
		"; originals/A2/marsh.jpg was taken by another file, so it is originals/A2/marsh-2.jpg" +
		"; outbox/A2/marsh.tif was taken by another file, so it is outbox/A2/marsh-2.tif"
	if r[0].Text != want {
		t.Errorf("told: %s\nwant: %s", r[0].Text, want)
	}
}

func TestTheJournalKnowsWhereARenumberedFileWent(t *testing.T) {
	s := laidOut(t, t.TempDir())
	put(t, s, "drop/A2/marsh.jpg", thePhotograph)
	s.tree.before = func(c change) error {
		switch c.to {
		case "originals/A2/marsh.jpg": // taken as it is about to be given
			put(t, s, c.to, theirPhotograph)
		case "outbox/A2/marsh.tif": // after the original went by another name
			return errCrash
		}
		return nil
	}
	if err := play(s, stories["published"]); !errors.Is(err, errCrash) {
		t.Fatal(err)
	}
	s.tree.before = nil
	r := recovered(t, s)
	if len(r) != 1 || r[0].Original != "originals/A2/marsh-2.jpg" || len(r[0].Renamed) != 1 {
		t.Errorf("%+v", r)
	}
	wantPlaces(t, s, thePhotograph, "originals/A2/marsh-2.jpg")
}
