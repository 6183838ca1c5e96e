package daemon

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"sizewright/internal/photo"
	"sizewright/internal/studio"
)

// serving has a daemon at work until the test ends, or stop is called.
func serving(t *testing.T, o Options) (stop func()) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- Serve(ctx, o) }()
	stop = sync.OnceFunc(func() {
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
	t.Cleanup(stop)
	return stop
}

// shiftedClock goes on as clocks do, from where it is set.
type shiftedClock struct {
	mu sync.Mutex
	by time.Duration
}

func (c *shiftedClock) set(to time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.by = time.Until(to)
}

func (c *shiftedClock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return time.Now().Add(c.by)
}

func TestOutsideItsHoursTheDaemonWaits(t *testing.T) {
	s, o := newStudio(t, "A6", quick+"[work]\nbetween = \"22:00-07:00\"\n")
	var clock shiftedClock
	clock.set(time.Date(2026, 3, 14, 12, 0, 0, 0, time.Local))
	o.Now = clock.now
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 600, 420))
	serving(t, o)
	seen := statusBecomes(t, s, func(d Status) bool { return d.Queued == 1 })
	if seen.Resting.Hour() != 22 || len(seen.Orders) != 0 {
		t.Errorf("at noon it does %+v", seen)
	}
	if _, err := os.Stat(filepath.Join(s.Drop(), "A6", "marsh.jpg")); err != nil {
		t.Errorf("the photograph did not stay in its drop folder: %v", err)
	}
	clock.set(time.Date(2026, 3, 14, 23, 0, 0, 0, time.Local))
	appears(t, filepath.Join(s.Outbox(), "A6", "marsh.json"))
}

func TestAPrintWaitsForRoomOnTheDisk(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	data := jpegOf(t, 600, 420)
	drop(t, s, "A6", "marsh.jpg", data)
	room := uint64(1 << 30) // all of it kept free
	o.free = func() (uint64, error) { return room, nil }
	result, err := Once(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	n := result.Night
	if len(n.Records) != 0 || len(n.Faults) != 0 || len(n.Left) != 1 || !strings.Contains(n.Left[0].Text, "waits for room") {
		t.Errorf("records %v, faults %v, left %v", n.Records, n.Faults, n.Left)
	}
	if got := must(os.ReadFile(filepath.Join(s.Drop(), "A6", "marsh.jpg"))); !bytes.Equal(got, data) {
		t.Error("the original did not come back unchanged")
	}
	room *= 2
	if result, err = Once(t.Context(), o); err != nil || result.Night.Counts().Ready+result.Night.Counts().WithCautions != 1 {
		t.Errorf("with room: %+v, %v", result, err)
	}
}

// Each order in hand counts as if all it may write were still to come.
func TestOrdersInHandCountForTheRoom(t *testing.T) {
	h := &tracker{to: silent{}, now: time.Now}
	a, b := h.started("1", "A2", "a.jpg"), h.started("2", "A2", "b.jpg")
	a.reserve(100)
	b.reserve(20)
	if got := h.reserved(); got != 120 {
		t.Errorf("%d reserved", got)
	}
	a.over()
	if got := h.reserved(); got != 20 {
		t.Errorf("%d reserved when one is over", got)
	}
}

func TestTheConfigurationIsReadAgainOnRequest(t *testing.T) {
	s, o := newStudio(t, "A8", quick)
	reload := make(chan os.Signal)
	o.Reload = reload
	serving(t, o)
	made := func(name, toml string) float64 {
		t.Helper()
		if err := os.WriteFile(s.ConfigPath(), []byte(toml), 0o644); err != nil {
			t.Fatal(err)
		}
		reload <- syscall.SIGHUP
		drop(t, s, "A8", name+".jpg", jpegOf(t, 300+len(name), 210))
		appears(t, filepath.Join(s.Outbox(), "A8", name+".json"))
		return readRecord(t, s, "outbox/A8/"+name+".json").Plan.Print.PPI
	}
	if ppi := made("first", strings.Replace(quick, "ppi = 100", "ppi = 90", 1)); ppi != 90 {
		t.Errorf("after reading again it prints at %v ppi, want 90", ppi)
	}
	if ppi := made("mistaken", "[print]\nppi = \"many\"\n"); ppi != 90 {
		t.Errorf("with a mistaken configuration it prints at %v ppi, want the 90 of before", ppi)
	}
	page := filepath.Join(s.MorningDir(), "latest.html")
	appears(t, page)
	for range 100 {
		if bytes.Contains(must(os.ReadFile(page)), []byte("the earlier configuration stays in use")) {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Error("the report does not tell of the mistake")
}

func TestAFileThatEndsTheProcessTimeAndAgainIsHeld(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 600, 420))
	for range mostInterruptions {
		dieWithInHand(t, s, "A6", "marsh.jpg")
	}
	result, err := Once(t.Context(), o)
	if err != nil || result.Night.Counts().Held != 1 {
		t.Fatalf("%+v, %v", result, err)
	}
	if r := readRecord(t, s, "held/A6/marsh.jpg.json"); r.Code != "interrupted" || r.Source.SHA256 != "" {
		t.Errorf("held with %q: %q, %q; want it held before it is read", r.Code, r.Reason, r.Source.SHA256)
	}
	// Dropped again it is a new order.
	if err := os.Rename(filepath.Join(s.Held(), "A6", "marsh.jpg"), filepath.Join(s.Drop(), "A6", "marsh.jpg")); err != nil {
		t.Fatal(err)
	}
	if result, err = Once(t.Context(), o); err != nil || result.Night.Counts().Held != 0 {
		t.Errorf("dropped again: %+v, %v", result.Night.Counts(), err)
	}
}

// dieWithInHand claims a photograph as a process does that then dies, and has the
// next start put it right.
func dieWithInHand(t *testing.T, s *studio.Studio, folder, name string) {
	t.Helper()
	unlock := must(s.Lock())
	must(s.Claim(folder, name))
	unlock()
	unlock = must(s.Lock())
	defer unlock()
	must(s.Recover())
}

func TestLitterIsListedAndNotCounted(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	for i := range 7 {
		drop(t, s, "A6", fmt.Sprintf("._%d.jpg", i), []byte("x"))
	}
	result, err := Once(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	n := result.Night
	if len(n.Left) != 1 || n.Left[0].Name != "._0.jpg, ._1.jpg, ._2.jpg, ._3.jpg, ._4.jpg and 2 more" || !n.Left[0].Litter {
		t.Errorf("left alone %+v", n.Left)
	}
	if !strings.Contains(n.Sentence(), "Nothing was waiting") {
		t.Errorf("the night is told as %q", n.Sentence())
	}
}

// Half an hour at a shell is a long time for a file to change in.
func TestAFileThatChangedWhileItWaitedIsNotMadeAsItIs(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 600, 420))
	r, leave, err := open(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	defer leave()
	c := dropped("A6", "marsh.jpg", time.Hour) // as it was
	if how := r.attempt(t.Context(), c).how; how != altered {
		t.Errorf("it ended as %v", how)
	}
	if _, err := os.Stat(filepath.Join(s.Drop(), "A6", "marsh.jpg")); err != nil {
		t.Error(err)
	}
}

func TestADecoderThatWouldNotEndIsStoppedWithTheDaemon(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 600, 420))
	decoding := make(chan bool)
	o.Decode = func(ctx context.Context, _ string, _ photo.Limits) (*photo.Photo, error) {
		decoding <- true
		<-ctx.Done()
		return nil, ctx.Err()
	}
	stop := serving(t, o)
	<-decoding
	stop()
	if _, err := os.Stat(filepath.Join(s.Drop(), "A6", "marsh.jpg")); err != nil {
		t.Error(err)
	}
}

// statusBecomes waits until the daemon at work says something of itself.
func statusBecomes(t *testing.T, s *studio.Studio, so func(Status) bool) Status {
	t.Helper()
	var last Status
	for range 600 {
		if at := must(s.AtWork()); at != nil {
			if d, err := ReadStatus(at.Status); err == nil {
				if last = d; so(d) {
					return d
				}
			}
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("it never came to be so; last it did %+v", last)
	return last
}

// What is decided and cannot be carried out at once is carried out when it can.
func TestADecidedEndIsTriedAgain(t *testing.T) {
	u := &unfinished{}
	tries := 0
	u.add(func() error {
		if tries++; tries < 3 {
			return errors.New("not now")
		}
		return nil
	})
	for range 5 {
		u.retry()
	}
	if tries != 3 {
		t.Errorf("tried %d times, want until it is done", tries)
	}
}

// A kill between the last print and the report leaves a night unreported.
func TestAnEarlierNightThatWasNeverToldIsTold(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 600, 420))
	var clock shiftedClock
	clock.set(time.Date(2026, 3, 14, 3, 0, 0, 0, time.Local))
	o.Now = clock.now
	if _, err := Once(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	page := filepath.Join(s.MorningDir(), "2026-03-14.html")
	for _, name := range []string{page, filepath.Join(s.MorningDir(), "latest.html")} {
		if err := os.Remove(name); err != nil {
			t.Fatal(err)
		}
	}
	clock.set(time.Date(2026, 3, 16, 3, 0, 0, 0, time.Local))
	serving(t, o)
	appears(t, page)
	appears(t, filepath.Join(s.MorningDir(), "latest.html"))
}

func TestALotIsWaitedForBeforeTheFirstIsTaken(t *testing.T) {
	s, o := newStudio(t, "A2", quick)
	if err := os.Mkdir(filepath.Join(s.Drop(), "A6"), 0o755); err != nil {
		t.Fatal(err)
	}
	drop(t, s, "A2", "a.jpg", jpegOf(t, 1200, 800)) // offered first, by its name
	for i := range 5 {
		drop(t, s, "A6", fmt.Sprintf("%d.jpg", i), jpegOf(t, 1202+2*i, 800))
	}
	log := &starts{}
	o.Progress = log
	serving(t, o)
	appears(t, filepath.Join(s.MorningDir(), "latest.html"))
	if got := log.names(); len(got) != 6 || got[5] != "a.jpg" {
		t.Errorf("taken in the order %v; the large print should be the last of its lot", got)
	}
}

// starts notes what is taken.
type starts struct {
	silent
	mu    sync.Mutex
	taken []string
}

func (s *starts) Started(_, name string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.taken = append(s.taken, name)
}

func (s *starts) names() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.taken)
}

// What an earlier run left behind is told in the report of this one, though the first
// order comes later.
func TestWhatIsFoundAtTheStartIsTold(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	if err := os.MkdirAll(filepath.Join(s.Root(), ".sizewright", "claims", "whatever", "original"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(s.Root(), ".sizewright", "claims", "whatever", "original", "marsh.jpg"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	serving(t, o)
	drop(t, s, "A6", "a.jpg", jpegOf(t, 600, 420))
	page := filepath.Join(s.MorningDir(), "latest.html")
	appears(t, page)
	if !bytes.Contains(must(os.ReadFile(page)), []byte("claims/whatever")) {
		t.Error("the report does not tell of what was left behind")
	}
}

func TestAMistakeInTheConfigurationIsToldWithoutAnyOrder(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	reload := make(chan os.Signal)
	o.Reload = reload
	serving(t, o)
	if err := os.WriteFile(s.ConfigPath(), []byte("[print]\nppi = \"many\"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	reload <- syscall.SIGHUP
	page := filepath.Join(s.MorningDir(), "latest.html")
	appears(t, page)
	if !bytes.Contains(must(os.ReadFile(page)), []byte("the earlier configuration stays in use")) {
		t.Error("the report does not tell of the mistake")
	}
}
