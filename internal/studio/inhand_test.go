package studio

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

func TestClaimsTellWhatIsInHand(t *testing.T) {
	s := laidOut(t, memoryDir(t))
	first := dropped(t, s, "A2", "marsh.jpg", thePhotograph)
	second := dropped(t, s, "A2", "dune.jpg", "a dune")
	s.tree.before = func(c change) error {
		if strings.HasPrefix(c.to, outboxDir) {
			return errCrash
		}
		return nil
	}
	published(first, "marsh", thePhotograph)
	all, err := s.Claims()
	if err != nil || len(all) != 2 {
		t.Fatalf("%+v, %v", all, err)
	}
	for _, h := range all {
		want := InHand{second.ID, "A2", "dune.jpg", 6, second.Taken, false}
		if h.ID == first.ID {
			want = InHand{first.ID, "A2", "marsh.jpg", 0, first.Taken, true} // the original has left already
		}
		if !h.Taken.Equal(want.Taken) {
			t.Errorf("taken %v, want %v", h.Taken, want.Taken)
		}
		h.Taken = want.Taken
		if h != want {
			t.Errorf("%+v\nwant %+v", h, want)
		}
	}
}

func TestTwoNeverClaimOnePhotograph(t *testing.T) {
	s := laidOut(t, memoryDir(t))
	put(t, s, "drop/A2/marsh.jpg", thePhotograph)
	// Both have looked, and then both take it.
	s.tree.before = func(c change) error {
		if c.from == "drop/A2/marsh.jpg" {
			s.tree.before = nil
			if _, err := s.Claim("A2", "marsh.jpg"); err != nil {
				t.Errorf("the first met %v", err)
			}
		}
		return nil
	}
	if _, err := s.Claim("A2", "marsh.jpg"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the second met %v", err)
	}
	if left := claimsLeft(t, s); len(left) != 1 {
		t.Errorf("claims: %v", left)
	}
}

// Somebody who meddles in .sizewright is told so, and not that the photograph is back.
func TestAPhotographTakenOutOfItsClaimIsSaidToBeGone(t *testing.T) {
	for what, rel := range map[string]string{"the photograph": originalPart + "/marsh.jpg", "the claim": ""} {
		s := laidOut(t, memoryDir(t))
		c := dropped(t, s, "A2", "marsh.jpg", thePhotograph)
		if err := os.RemoveAll(s.abs(c.rel(rel))); err != nil {
			t.Fatal(err)
		}
		out, err := c.Return()
		if !errors.Is(err, ErrGone) || len(out.Renamed) != 0 {
			t.Errorf("%s is gone: %+v, %v", what, out, err)
		}
		if left := claimsLeft(t, s); len(left) != 0 {
			t.Errorf("%s is gone: claims left: %v", what, left)
		}
	}
}

func TestClaimsTakenAtOneMomentHaveTheirOwnNames(t *testing.T) {
	s := laidOut(t, memoryDir(t))
	const orders = 300
	now := time.Date(2026, 10, 25, 2, 30, 0, 0, time.UTC)
	s.now = func() time.Time { return now }
	ids := map[string]bool{}
	for n := range orders {
		if n == orders/2 {
			now = now.Add(-time.Hour) // the clock is set back
		}
		ids[dropped(t, s, "A2", fmt.Sprintf("%d.jpg", n), strconv.Itoa(n)).ID] = true
	}
	if len(ids) != orders {
		t.Errorf("%d names for %d claims", len(ids), orders)
	}
	if r := recovered(t, s); len(r) != orders {
		t.Errorf("%d recovered of %d", len(r), orders)
	}
	for n := range orders {
		wantPlaces(t, s, strconv.Itoa(n), fmt.Sprintf("drop/A2/%d.jpg", n))
	}
	t.Logf("clock set back and standing still: %d orders, 0 lost, 0 doubled", orders)
}

func TestHardLinksAreNotClaimed(t *testing.T) {
	s := laidOut(t, t.TempDir())
	put(t, s, "elsewhere.jpg", thePhotograph)
	path := s.abs("drop/A2/marsh.jpg")
	link := func() error { return os.Link(s.abs("elsewhere.jpg"), path) }
	refused := func(when string) {
		t.Helper()
		_, err := s.Claim("A2", "marsh.jpg")
		if !errors.Is(err, ErrNotRegular) || !strings.Contains(err.Error(), "one of 2 names of the same file; put a copy there") {
			t.Errorf("%s: %v", when, err)
		}
		wantPlaces(t, s, thePhotograph, "drop/A2/marsh.jpg", "elsewhere.jpg")
		if left := claimsLeft(t, s); len(left) != 0 {
			t.Errorf("%s: claims left: %v", when, left)
		}
		os.Remove(path)
	}
	if err := link(); err != nil {
		t.Fatal(err)
	}
	refused("at first sight")
	put(t, s, "drop/A2/marsh.jpg", "another")
	s.tree.before = func(c change) error {
		if c.op == "rename" && c.from == "drop/A2/marsh.jpg" {
			return errorsOf(os.Remove(path), link())
		}
		return nil
	}
	refused("at the last moment")
}

// Without RENAME_NOREPLACE a photograph on its way back has two names for a
// moment, and after a crash in that moment until it is recovered.
func TestAPhotographOnItsWayBackIsNotAHardLink(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	s := opened(t, dir)
	s.tree.linkOnly = true
	c := dropped(t, s, "A2", "marsh.jpg", thePhotograph)
	s.tree.before = func(ch change) error {
		if ch.op == "unlink" && strings.HasPrefix(ch.from, c.rel(originalPart)) {
			return errCrash
		}
		return nil
	}
	if _, err := c.Return(); !errors.Is(err, errCrash) {
		t.Fatal(err)
	}
	s.tree.before = nil
	if _, err := s.Claim("A2", "marsh.jpg"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("claimed while on its way back: %v", err)
	}
	recovered(t, s)
	wantPlaces(t, s, thePhotograph, "drop/A2/marsh.jpg")
	if _, err := s.Claim("A2", "marsh.jpg"); err != nil {
		t.Errorf("not claimed once it is back: %v", err)
	}
}

func TestFreeIsWhatTheSystemSays(t *testing.T) {
	s := laidOut(t, memoryDir(t))
	free, err := s.Free()
	if err != nil || free == 0 {
		t.Fatalf("%d, %v", free, err)
	}
	const size = 8 << 20
	if err := os.WriteFile(filepath.Join(s.dir, "large"), make([]byte, size), 0o666); err != nil {
		t.Fatal(err)
	}
	less, err := s.Free()
	// Others write here too; but half of the file must show.
	if err != nil || less > free-size/2 {
		t.Errorf("%d bytes free, and after writing %d still %d (%v)", free, size, less, err)
	}
}

// The decision of a process that died since is as good as done.
func TestANameDecidedOnIsTakenBeforeItsFileComes(t *testing.T) {
	s := laidOut(t, memoryDir(t))
	c := dropped(t, s, "A2", "marsh.jpg", thePhotograph)
	s.tree.before = func(ch change) error {
		if strings.HasPrefix(ch.to, originalsDir) {
			return errCrash
		}
		return nil
	}
	if _, err := published(c, "marsh", thePhotograph); !errors.Is(err, errCrash) || !c.Decided() {
		t.Fatal(err)
	}
	s.tree.before = nil
	out, err := published(dropped(t, s, "A2", "marsh.jpg", theirPhotograph), "marsh", theirPhotograph)
	if err != nil || out.Made[0] != "outbox/A2/marsh-2.tif" || out.Original != "originals/A2/marsh-2.jpg" {
		t.Errorf("%+v, %v", out, err)
	}
	if r := recovered(t, s); len(r) != 1 || r[0].Kind != Published || len(r[0].Renamed) != 0 {
		t.Errorf("%+v", r)
	}
	if n := checkSets(t, s); n != 2 {
		t.Errorf("%d sets", n)
	}
}
