package studio

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// sharing gives the studio at dir, open and shared.
func sharing(t testing.TB, dir string) *Studio {
	t.Helper()
	s, die := sharingUntil(t, dir)
	t.Cleanup(die)
	return s
}

// sharingUntil is sharing; die leaves all as the system does when a process is
// killed: its files lie there, its locks are free.
func sharingUntil(t testing.TB, dir string) (s *Studio, die func()) {
	t.Helper()
	s = opener(dir)
	lock, err := s.openLock()
	if err != nil {
		t.Fatal(err)
	}
	if err := errorsOf(unix.Flock(int(lock.Fd()), unix.LOCK_SH|unix.LOCK_NB), s.enroll(true)); err != nil {
		t.Fatal(err)
	}
	s.shared.Store(true)
	s.locked.Store(true)
	return s, func() {
		if s.locked.Swap(false) {
			s.self.Load().guard.Close()
			lock.Close()
			s.Close()
		}
	}
}

func workers(t testing.TB, s *Studio) []Worker {
	t.Helper()
	all, err := s.Workers()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func TestAStudioIsOnePersonsOrSeverals(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	pid := strconv.Itoa(os.Getpid())
	one, two := opener(dir), opener(dir)
	defer one.Close()
	defer two.Close()

	unlock, err := one.Lock()
	if err != nil {
		t.Fatal(err)
	}
	_, err = two.Share()
	if !errors.Is(err, ErrLocked) || !strings.Contains(err.Error(), "alone (process "+pid+"); stop that one, or start it again as one that shares") {
		t.Errorf("shared beside one alone: %v", err)
	}
	unlock()

	unlock1, err := one.Share()
	if err != nil {
		t.Fatal(err)
	}
	unlock2, err := two.Share()
	if err != nil {
		t.Fatal(err)
	}
	third := opener(dir)
	defer third.Close()
	_, err = third.Lock()
	if !errors.Is(err, ErrLocked) || !strings.Contains(err.Error(), "sharing the studio (process "+pid+", process "+pid+"); stop that first, or share") {
		t.Errorf("locked beside two that share: %v", err)
	}
	unlock1()
	unlock2()
	if all := workers(t, third); len(all) != 0 {
		t.Errorf("all went home, and there are %+v", all)
	}
	unlock, err = third.Lock()
	if err != nil {
		t.Fatal(err)
	}
	unlock()
}

func TestWorkersTellHowFarTheyAre(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	s := sharing(t, dir)
	asks := opener(dir) // and is not at work
	defer asks.Close()
	if err := asks.Beat(nil); err == nil {
		t.Error("one that is not at work has a heartbeat")
	}
	for n := range 3 {
		if err := s.Beat(map[string]int{"rows": n}); err != nil {
			t.Fatal(err)
		}
		all := workers(t, asks)
		if len(all) != 1 || !all[0].Alive || !all[0].Shared || all[0].PID != os.Getpid() || string(all[0].Progress) != fmt.Sprintf(`{"rows":%d}`, n) {
			t.Fatalf("%+v", all)
		}
		if since := time.Since(all[0].Started); since < 0 || since > time.Hour {
			t.Errorf("at work for %v", since)
		}
	}
	if left, _ := os.ReadDir(s.abs(tempDir)); len(left) != 0 {
		t.Errorf("left behind: %v", left)
	}
}

func TestABeatCountsWhereThereIsNoRoomForIt(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	s, other := sharing(t, dir), sharing(t, dir)
	id := s.self.Load().id
	before := other.beatOf(id)
	full := errors.New("no room")
	s.tree.before = func(change) error { return full }
	if err := s.Beat(nil); !errors.Is(err, full) {
		t.Errorf("a beat that was not written: %v", err)
	}
	if other.beatOf(id) == before {
		t.Error("a disk that is full has stopped a heart")
	}
}

func TestClaimsTellWhatIsInHandAndWhose(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	s, other := sharing(t, dir), sharing(t, dir)
	first := dropped(t, s, "A2", "marsh.jpg", thePhotograph)
	second := dropped(t, other, "A2", "dune.jpg", "a dune")
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
		want := InHand{second.ID, "A2", "dune.jpg", 6, second.Taken, other.self.Load().id, false}
		if h.ID == first.ID {
			want = InHand{first.ID, "A2", "marsh.jpg", 0, first.Taken, s.self.Load().id, true} // the original has left already
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

func TestTwoWorkersNeverClaimOnePhotograph(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	one, two := sharing(t, dir), sharing(t, dir)
	// Both have looked, and then both take it.
	one.tree.before = func(c change) error {
		if c.from == "drop/A2/marsh.jpg" {
			if _, err := two.Claim("A2", "marsh.jpg"); err != nil {
				t.Errorf("the first met %v", err)
			}
		}
		return nil
	}
	put(t, one, "drop/A2/marsh.jpg", thePhotograph)
	if _, err := one.Claim("A2", "marsh.jpg"); !errors.Is(err, fs.ErrNotExist) || errors.Is(err, ErrTakenOver) {
		t.Errorf("the second met %v", err)
	}
	if left := claimsLeft(t, one); len(left) != 1 {
		t.Errorf("claims: %v", left)
	}
}

func TestAnOrderOfAnOlderVersionIsNobodys(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	s := sharing(t, dir)
	const id = "20260301T221500-0123abcd"
	put(t, s, claimPath(id, orderName), `{"folder":"A2","name":"marsh.jpg","taken":"2026-03-01T22:15:00Z"}`)
	put(t, s, claimPath(id, originalPart, "marsh.jpg"), thePhotograph)
	if all, err := s.Claims(); err != nil || len(all) != 1 || all[0].Worker != "" || all[0].Size != int64(len(thePhotograph)) {
		t.Errorf("%+v, %v", all, err)
	}
	if r := recovered(t, s); len(r) != 1 || r[0].Kind != Returned {
		t.Errorf("%+v", r)
	}
	wantPlaces(t, s, thePhotograph, "drop/A2/marsh.jpg")
}

func TestTheOrderNamesItsWorker(t *testing.T) {
	s := sharing(t, initialised(t, memoryDir(t)))
	c := dropped(t, s, "A2", "marsh.jpg", thePhotograph)
	var o map[string]any
	if err := json.Unmarshal([]byte(get(t, s, c.rel(orderName))), &o); err != nil || o["worker"] != s.self.Load().id {
		t.Errorf("%v, %v", o, err)
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

// The decision of a worker that died since is as good as done.
func TestANameDecidedOnIsTakenBeforeItsFileComes(t *testing.T) {
	dir := initialised(t, memoryDir(t))
	dead, die := sharingUntil(t, dir)
	c := dropped(t, dead, "A2", "marsh.jpg", thePhotograph)
	dead.tree.before = func(ch change) error {
		if strings.HasPrefix(ch.to, originalsDir) {
			return errCrash
		}
		return nil
	}
	if _, err := published(c, "marsh", thePhotograph); !errors.Is(err, errCrash) || !c.Decided() {
		t.Fatal(err)
	}
	die()
	s := sharing(t, dir)
	out, err := published(dropped(t, s, "A2", "marsh.jpg", theirPhotograph), "marsh", theirPhotograph)
	if err != nil || out.Made[0] != "outbox/A2/marsh-2.tif" || out.Original != "originals/A2/marsh-2.jpg" {
		t.Errorf("%+v, %v", out, err)
	}
	r, err := s.TakeOver(time.Hour, time.Now())
	if err != nil || len(r) != 1 || r[0].Kind != Published || len(r[0].Renamed) != 0 {
		t.Errorf("%+v, %v", r, err)
	}
	if n := checkSets(t, s); n != 2 {
		t.Errorf("%d sets", n)
	}
}
