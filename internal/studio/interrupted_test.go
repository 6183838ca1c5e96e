package studio

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"
)

// interruptionsOf is what is known of a photograph as it lies in its folder.
func interruptionsOf(t testing.TB, s *Studio, name string) int {
	t.Helper()
	st, err := s.tree.lstat("drop/A2/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return s.Interruptions("A2", name, st.Size, modTime(st))
}

// claimed takes a photograph that is there.
func claimed(t testing.TB, s *Studio, name string) *Claim {
	t.Helper()
	c, err := s.Claim("A2", name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestAPhotographThatKillsTheProcessIsCounted(t *testing.T) {
	for _, name := range hostileNames {
		dir := initialised(t, memoryDir(t))
		put(t, &Studio{dir: dir}, "drop/A2/"+name, thePhotograph)
		for n := 1; n <= 3; n++ {
			s, die := started(t, dir)
			claimed(t, s, name)
			die()
			s, die = started(t, dir)
			if r := recovered(t, s); len(r) != 1 || r[0].Kind != Returned {
				t.Fatalf("%q: %+v", name, r)
			}
			if got := interruptionsOf(t, s, name); got != n {
				t.Errorf("%q: interrupted %d times, and %d are known", name, n, got)
			}
			die()
		}
		s := opened(t, dir)
		// To give it back of one's own will says nothing against it, nor for it.
		if _, err := claimed(t, s, name).Return(); err != nil || interruptionsOf(t, s, name) != 3 {
			t.Errorf("%q: returned (%v), interrupted %d times", name, err, interruptionsOf(t, s, name))
		}
		other := "other " + name[:min(len(name), 200)]
		put(t, s, "drop/A2/"+other, thePhotograph)
		if n := interruptionsOf(t, s, other); n != 0 {
			t.Errorf("%q: another photograph was interrupted %d times", name, n)
		}
		c := claimed(t, s, name)
		size, mtime := c.Size, c.ModTime
		if _, err := heldBack(c); err != nil {
			t.Fatal(err)
		}
		if n := s.Interruptions("A2", name, size, mtime); n != 0 {
			t.Errorf("%q: ended, and still interrupted %d times", name, n)
		}
		if left, _ := os.ReadDir(s.abs(interruptedDir)); len(left) != 0 {
			t.Errorf("%q: left: %v", name, left)
		}
	}
}

func TestAChangedPhotographIsAnother(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	s := opened(t, dir)
	dropped(t, s, "A2", "marsh.jpg", thePhotograph)
	recovered(t, s)
	if n := interruptionsOf(t, s, "marsh.jpg"); n != 1 {
		t.Errorf("interrupted %d times", n)
	}
	later := time.Now().Add(time.Second)
	if err := os.Chtimes(s.abs("drop/A2/marsh.jpg"), later, later); err != nil {
		t.Fatal(err)
	}
	if n := interruptionsOf(t, s, "marsh.jpg"); n != 0 {
		t.Errorf("changed, and interrupted %d times", n)
	}
}

func TestOneClaimIsCountedOnceHoweverItsRecoveryGoes(t *testing.T) {
	for n, done := 0, false; !done; n++ {
		dir := scene(t)
		s, die := resumed(t, dir, false)
		claimed(t, s, "marsh.jpg")
		die()
		done = restarted(t, dir, n, false)
		last := opened(t, dir)
		recovered(t, last)
		if got := interruptionsOf(t, last, "marsh.jpg"); got != 1 {
			t.Fatalf("interrupted once, its recovery stopped after %d changes, and counted %d times", n, got)
		}
	}
}

func TestACountFollowsAPhotographThatCameBackUnderAnotherName(t *testing.T) {
	s := laidOut(t, memoryDir(t))
	dropped(t, s, "A2", "marsh.jpg", thePhotograph)
	put(t, s, "drop/A2/marsh.jpg", theirPhotograph)
	recovered(t, s)
	if n := interruptionsOf(t, s, "marsh-2.jpg"); n != 1 {
		t.Errorf("interrupted %d times", n)
	}
	if n := interruptionsOf(t, s, "marsh.jpg"); n != 0 {
		t.Errorf("one that was never in hand was interrupted %d times", n)
	}
}

func TestAFullDiskKeepsNoPhotographFromGoingBack(t *testing.T) {
	s := laidOut(t, memoryDir(t))
	dropped(t, s, "A2", "marsh.jpg", thePhotograph)
	s.tree.before = func(c change) error {
		if c.op == "write" {
			return errCrash
		}
		return nil
	}
	r, err := s.Recover()
	if err == nil || len(r) != 1 || r[0].Kind != Returned {
		t.Errorf("%+v, %v", r, err)
	}
	wantPlaces(t, s, thePhotograph, "drop/A2/marsh.jpg")
}

func TestWhatIsRememberedOfInterruptionsIsBounded(t *testing.T) {
	s := laidOut(t, memoryDir(t))
	stale := time.Now().Add(-2 * keepInterrupted)
	for n := range mostInterrupted + 50 {
		rel := fmt.Sprintf("%s/%04d", interruptedDir, n)
		put(t, s, rel, "{}")
		if n < 100 {
			os.Chtimes(s.abs(rel), stale, stale)
		}
	}
	dropped(t, s, "A2", "marsh.jpg", thePhotograph)
	recovered(t, s)
	left, _ := os.ReadDir(s.abs(interruptedDir))
	if len(left) != mostInterrupted+50-100+1 {
		t.Errorf("%d remembered after the old ones went", len(left))
	}
	for n := range 100 {
		put(t, s, fmt.Sprintf("%s/x%04d", interruptedDir, n), "{}")
	}
	dropped(t, s, "A2", "dune.jpg", "a dune")
	recovered(t, s)
	if left, _ := os.ReadDir(s.abs(interruptedDir)); len(left) != mostInterrupted {
		t.Errorf("%d remembered, want at most %d", len(left), mostInterrupted)
	}
	if n := interruptionsOf(t, s, "dune.jpg"); n != 1 {
		t.Errorf("the newest was forgotten: %d", n)
	}
	if n := s.Interruptions("A2", strings.Repeat("no such ", 9), 0, time.Time{}); n != 0 {
		t.Errorf("one never seen: %d", n)
	}
}
