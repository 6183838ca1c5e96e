package intake

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/fsnotify/fsnotify"
	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"
	"go.uber.org/zap/zaptest/observer"
)

// hour stands for never: what comes with such a rescan comes by events.
const hour = time.Hour

// running starts a Watcher and gives what it offers. It has looked once and
// follows its folders when running returns.
func running(t *testing.T, w *Watcher) <-chan Candidate {
	t.Helper()
	out := make(chan Candidate)
	t.Cleanup(begin(w, out))
	return out
}

// begin is running for those who stop it themselves.
func begin(w *Watcher, out chan<- Candidate) (stop func()) {
	looked := make(chan struct{}, 1)
	now := w.o.Now
	w.o.Now = func() time.Time { // asked for at each look, after its watches are set
		select {
		case looked <- struct{}{}:
		default:
		}
		return now()
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() {
		defer close(done)
		w.Run(ctx, out)
	}()
	<-looked
	return func() {
		cancel()
		<-done
	}
}

// next waits for an offer; the test's own time limit is the only one.
func next(t *testing.T, out <-chan Candidate) Candidate {
	t.Helper()
	select {
	case c := <-out:
		return c
	case <-time.After(30 * time.Second):
		t.Fatal("nothing was offered")
		panic("unreachable")
	}
}

// until waits for something that is to be.
func until(t *testing.T, is func() bool) {
	t.Helper()
	for limit := time.Now().Add(30 * time.Second); !is(); time.Sleep(time.Millisecond) {
		if time.Now().After(limit) {
			t.Fatal("it never came to be")
		}
	}
}

// lookTwice waits for a look that began after now.
func lookTwice(t *testing.T, w *Watcher) {
	t.Helper()
	for range 2 {
		last := w.Looked()
		until(t, func() bool { return !w.Looked().Equal(last) })
	}
}

// quiet fails if anything is offered within some settle times.
func quiet(t *testing.T, out <-chan Candidate, why string) {
	t.Helper()
	select {
	case c := <-out:
		t.Errorf("offered %s/%s, %s", c.Folder, c.Name, why)
	case <-time.After(4 * soon):
	}
}

func TestAPhotographThereAtTheStartIsOffered(t *testing.T) {
	t.Parallel()
	drop := newDrop(t, "A2")
	put(t, drop, "A2/marsh.jpg", "x")
	out := running(t, New(drop, Options{Settle: soon, Rescan: hour}))
	if c := next(t, out); c.Folder != "A2" || c.Name != "marsh.jpg" || c.Size != 1 {
		t.Errorf("%+v", c)
	}
	quiet(t, out, "though it was taken")
}

func TestTwoThousandPhotographsAtOnceAreEachOfferedOnce(t *testing.T) {
	t.Parallel()
	const many = 2000
	drop := newDrop(t, "A2", "A3")
	out := running(t, New(drop, Options{Settle: soon, Rescan: hour}))
	go func() {
		for i := range many {
			put(t, drop, fmt.Sprintf("A%d/marsh %04d.jpg", 2+i%2, i), "x")
		}
	}()
	seen := map[string]bool{}
	for range many {
		c := next(t, out)
		if seen[c.Name] {
			t.Fatalf("%s twice", c.Name)
		}
		seen[c.Name] = true
	}
	quiet(t, out, "once too often")
}

func TestAPhotographRenamedIntoPlaceIsOfferedUnderItsNameOnly(t *testing.T) {
	t.Parallel()
	drop := newDrop(t, "A2")
	out := running(t, New(drop, Options{Settle: soon, Rescan: hour}))
	put(t, drop, "A2/marsh.jpg.part", "x")
	if err := os.Rename(filepath.Join(drop, "A2/marsh.jpg.part"), filepath.Join(drop, "A2/marsh.jpg")); err != nil {
		t.Fatal(err)
	}
	if c := next(t, out); c.Name != "marsh.jpg" {
		t.Errorf("%+v", c)
	}
	quiet(t, out, "though it was taken")
}

func TestAFolderMadeWhileRunningIsADropFolder(t *testing.T) {
	t.Parallel()
	drop := newDrop(t, "A2")
	out := running(t, New(drop, Options{Settle: soon, Rescan: hour}))
	for _, folder := range []string{"60x40in canvas", "50x70cm"} {
		if err := os.Mkdir(filepath.Join(drop, folder), 0o777); err != nil {
			t.Fatal(err)
		}
		put(t, drop, folder+"/first.jpg", "x") // perhaps before anyone watches
		if c := next(t, out); c.Folder != folder || c.Name != "first.jpg" {
			t.Errorf("%+v", c)
		}
		put(t, drop, folder+"/second.jpg", "x") // by events
		if c := next(t, out); c.Folder != folder || c.Name != "second.jpg" {
			t.Errorf("%+v", c)
		}
	}
}

func TestAFolderDeletedAndMadeAgainIsWatchedAgain(t *testing.T) {
	t.Parallel()
	drop := newDrop(t, "A2")
	out := running(t, New(drop, Options{Settle: soon, Rescan: hour}))
	for range 3 {
		if err := os.RemoveAll(filepath.Join(drop, "A2")); err != nil {
			t.Fatal(err)
		}
		if err := os.Mkdir(filepath.Join(drop, "A2"), 0o777); err != nil {
			t.Fatal(err)
		}
		put(t, drop, "A2/marsh.jpg", "x")
		next(t, out)
		put(t, drop, "A2/tide.jpg", "x")
		next(t, out)
	}
}

func TestAFolderRenamedIsAnotherDropFolder(t *testing.T) {
	t.Parallel()
	drop := newDrop(t, "A2")
	out := running(t, New(drop, Options{Settle: soon, Rescan: hour}))
	if err := os.Rename(filepath.Join(drop, "A2"), filepath.Join(drop, "A3")); err != nil {
		t.Fatal(err)
	}
	put(t, drop, "A3/marsh.jpg", "x")
	if c := next(t, out); c.Folder != "A3" {
		t.Errorf("%+v", c)
	}
	put(t, drop, "A3/tide.jpg", "x")
	if c := next(t, out); c.Folder != "A3" {
		t.Errorf("%+v", c)
	}
}

// A job is moved in whole: what is in it is found where it lies now, and what comes later
// by events. So it is after folders have changed their names among one another.
func TestAJobMovedInWholeAndRenamedIsFollowed(t *testing.T) {
	t.Parallel()
	drop := newDrop(t, "A2", "Reeds/A2")
	put(t, drop, "Reeds/A2/first.jpg", "x")
	out := running(t, New(drop, Options{Settle: soon, Rescan: hour}))
	next(t, out)
	staged := filepath.Join(filepath.Dir(drop), "staged")
	if err := os.MkdirAll(filepath.Join(staged, "A2", "proofs"), 0o777); err != nil {
		t.Fatal(err)
	}
	half, err := os.Create(filepath.Join(staged, "A2", "half.jpg"))
	if err != nil {
		t.Fatal(err)
	}
	half.WriteString("x")
	expect := func(want string) {
		t.Helper()
		if c := next(t, out); c.Folder+"/"+c.Name != want {
			t.Errorf("offered %s/%s, want %s", c.Folder, c.Name, want)
		}
	}
	rename := func(from, to string) {
		t.Helper()
		if err := os.Rename(from, to); err != nil {
			t.Fatal(err)
		}
	}
	rename(staged, filepath.Join(drop, "Marsh"))
	put(t, drop, "Marsh/A2/proofs/second.jpg", "x")
	expect("Marsh/A2/proofs/second.jpg")
	quiet(t, out, "which is still being written")
	half.Close()
	expect("Marsh/A2/half.jpg")
	rename(filepath.Join(drop, "Marsh"), filepath.Join(drop, "Other"))
	rename(filepath.Join(drop, "Reeds"), filepath.Join(drop, "Marsh"))
	for range 3 { // the same pictures, as they lie now
		next(t, out)
	}
	put(t, drop, "Marsh/A2/third.jpg", "x")
	expect("Marsh/A2/third.jpg")
	put(t, drop, "Other/A2/fourth.jpg", "x")
	expect("Other/A2/fourth.jpg")
}

func TestAPhotographBeingWrittenIsNotOffered(t *testing.T) {
	t.Parallel()
	const chunks = 20
	drop := newDrop(t, "A2")
	now := growing(t, filepath.Join(drop, "A2/marsh.jpg"), chunks)
	out := running(t, New(drop, Options{Settle: soon, Rescan: hour, Now: now}))
	if c := next(t, out); c.Size != chunks*chunk {
		t.Errorf("offered at %d bytes of %d", c.Size, chunks*chunk)
	}
}

func TestLinksAndDirectoriesAreToldOnceAndLeftAlone(t *testing.T) {
	t.Parallel()
	core, logs := observer.New(zapcore.WarnLevel)
	const deep = "A2/1/2/3/4/5/6/7/8"
	drop := newDrop(t, "A2", deep)
	put(t, drop, deep+"/deep.jpg", "x")
	link(t, drop, "1/2/3", "A2/link.jpg")
	w := New(drop, Options{Settle: soon, Rescan: soon / 4, Log: zap.New(core)})
	out := running(t, w)
	until(t, func() bool { return logs.Len() >= 2 })
	quiet(t, out, "which is no photograph")
	if n := logs.Len(); n != 2 {
		t.Errorf("told %d times: %v", n, logs.All())
	}
	if left := w.LeftAlone(); len(left) != 2 || left[0].Kind != KindLink || left[1].Kind != KindDirectory {
		t.Errorf("left alone: %v", left)
	}
}

func TestWhatIsOfferedIsWhatIsThere(t *testing.T) {
	t.Parallel()
	drop := newDrop(t, "A2")
	put(t, drop, "A2/first.jpg", "x")
	put(t, drop, "A2/second.jpg", "x")
	noon := time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)
	at(t, drop, "A2/first.jpg", noon)
	offers := make(chan Candidate)
	asked := make(chan Candidate, 2) // a yes is asked for once
	w := New(drop, Options{Settle: soon, Rescan: soon, look: func(c Candidate) (*blanks, error) {
		asked <- c
		return nil, nil
	}})
	t.Cleanup(begin(w, offers))
	<-asked
	<-asked // both are on offer, and nobody receives
	if err := os.Remove(filepath.Join(drop, "A2/first.jpg")); err != nil {
		t.Fatal(err)
	}
	lookTwice(t, w)
	if c := next(t, offers); c.Name != "second.jpg" {
		t.Errorf("offered %s, which has gone", c.Name)
	}
}

func TestAForgottenPhotographIsOfferedAgainAtTheNextRescan(t *testing.T) {
	t.Parallel()
	drop := newDrop(t, "A2")
	put(t, drop, "A2/marsh.jpg", "x")
	w := New(drop, Options{Settle: soon, Rescan: 2 * soon})
	out := running(t, w)
	for range 3 {
		next(t, out)
		w.Forget("A2", "marsh.jpg")
	}
	next(t, out)
	quiet(t, out, "though it was taken and not forgotten")
	w.Forget("A2", "never seen.jpg")
	quiet(t, out, "though it was taken and not forgotten")
}

// A consumer may take all there is into a queue of its own, and put it all back.
func TestTwoThousandForgottenAreOfferedAgainOnce(t *testing.T) {
	t.Parallel()
	const many = 2000
	drop := newDrop(t, "A2")
	for i := range many {
		put(t, drop, fmt.Sprintf("A2/marsh %04d.jpg", i), "x")
	}
	w := New(drop, Options{Settle: soon, Rescan: 4 * soon})
	out := running(t, w)
	for range 2 {
		seen := map[string]bool{}
		for range many {
			seen[next(t, out).Name] = true
		}
		if len(seen) != many {
			t.Fatalf("%d photographs, want %d", len(seen), many)
		}
		for name := range seen {
			w.Forget("A2", name)
		}
	}
	for range many {
		next(t, out)
	}
	quiet(t, out, "though it was taken and not forgotten")
}

func TestAPhotographTakenAndDroppedAgainIsOfferedAgain(t *testing.T) {
	t.Parallel()
	drop := newDrop(t, "A2")
	out := running(t, New(drop, Options{Settle: soon, Rescan: hour}))
	for range 3 {
		put(t, drop, "A2/marsh.jpg", "x")
		next(t, out)
		if err := os.Remove(filepath.Join(drop, "A2/marsh.jpg")); err != nil {
			t.Fatal(err)
		}
	}
}

func TestWithoutEventsRescansFindEverything(t *testing.T) {
	t.Parallel()
	core, logs := observer.New(zapcore.WarnLevel)
	drop := newDrop(t, "A2")
	w := New(drop, Options{Settle: soon, Rescan: soon, Log: zap.New(core)})
	w.events = func(log *zap.Logger) *events { // as where inotify has no more to give
		e := &events{log: log}
		for range 3 {
			e.cannot("", errors.New("too many open files"))
		}
		return e
	}
	out := running(t, w)
	put(t, drop, "A2/marsh.jpg", "x")
	next(t, out)
	if err := os.Mkdir(filepath.Join(drop, "A3"), 0o777); err != nil {
		t.Fatal(err)
	}
	put(t, drop, "A3/marsh.jpg", "x")
	next(t, out)
	if n := logs.Len(); n != 1 {
		t.Errorf("told %d times, want once: %v", n, logs.All())
	}
}

func TestWhenEventsWereLostEverythingIsLookedAtAfresh(t *testing.T) {
	t.Parallel()
	drop := newDrop(t, "A2")
	faults := make(chan error)
	w := New(drop, Options{Settle: soon, Rescan: hour})
	w.events = func(log *zap.Logger) *events { return &events{faults: faults, log: log} }
	out := running(t, w)
	put(t, drop, "A2/marsh.jpg", "x")
	quiet(t, out, "which nothing told of")
	faults <- fsnotify.ErrEventOverflow
	next(t, out)
}

func TestEventsThatEndAreWaitedForNoMore(t *testing.T) {
	t.Parallel()
	drop := newDrop(t, "A2")
	changes, faults := make(chan fsnotify.Event), make(chan error)
	close(changes)
	close(faults)
	e := &events{changes: changes, faults: faults}
	w := New(drop, Options{Settle: soon, Rescan: soon})
	w.events = func(*zap.Logger) *events { return e }
	out := make(chan Candidate)
	stop := begin(w, out)
	put(t, drop, "A2/marsh.jpg", "x")
	next(t, out)
	stop()
	if e.changes != nil || e.faults != nil {
		t.Error("a closed channel is always ready: waiting for it is spinning")
	}
}

func TestADropDirectoryThatGoesAwayIsFoundAgain(t *testing.T) {
	t.Parallel()
	core, logs := observer.New(zapcore.ErrorLevel)
	drop := newDrop(t, "A2")
	w := New(drop, Options{Settle: soon, Rescan: soon, Log: zap.New(core)})
	out := running(t, w)
	if err := os.Rename(drop, drop+" unmounted"); err != nil {
		t.Fatal(err)
	}
	until(t, func() bool { return logs.Len() >= 1 })
	quiet(t, out, "from nowhere")
	if n := logs.Len(); n != 1 {
		t.Errorf("told %d times, want once: %v", n, logs.All())
	}
	if err := os.Rename(drop+" unmounted", drop); err != nil {
		t.Fatal(err)
	}
	put(t, drop, "A2/marsh.jpg", "x")
	next(t, out)
}

// It is noticed at once, as a new drop folder is, though all that was watched has gone.
func TestADropDirectoryMadeAgainIsSeenAtOnce(t *testing.T) {
	t.Parallel()
	core, logs := observer.New(zapcore.InfoLevel)
	drop := newDrop(t, "A2")
	out := running(t, New(drop, Options{Settle: soon, Rescan: hour, Log: zap.New(core)}))
	for n := range 3 {
		if err := os.RemoveAll(drop); err != nil {
			t.Fatal(err)
		}
		until(t, func() bool { return logs.FilterMessageSnippet("put it back").Len() > n })
		if err := os.MkdirAll(filepath.Join(drop, "A2"), 0o777); err != nil {
			t.Fatal(err)
		}
		put(t, drop, "A2/marsh.jpg", "x")
		next(t, out)
		put(t, drop, "A2/tide.jpg", "x")
		next(t, out)
	}
	if again := logs.FilterMessage("the drop directory can be read again").Len(); again != 3 {
		t.Errorf("told %d times that it is back, want 3", again)
	}
}

// The first look at two thousand photographs opens each; the looks after it
// open none, whether they were taken or are unfinished.
func BenchmarkTwoThousandFiles(b *testing.B) {
	drop := newDrop(b, "A2")
	for i := range 2000 {
		put(b, drop, fmt.Sprintf("A2/marsh %04d.jpg", i), whole())
	}
	o := Options{Settle: time.Second}.withDefaults(drop)
	start := time.Date(2026, 3, 14, 2, 0, 0, 0, time.UTC)
	look := func(tr *tracker, after time.Duration) []Candidate {
		files, _, err := Scan(drop)
		if len(files) != 2000 || err != nil {
			b.Fatal(len(files), err)
		}
		ready, _ := tr.look(files, start.Add(after))
		return ready
	}
	b.Run("first", func(b *testing.B) {
		for b.Loop() {
			tr := newTracker(o)
			look(tr, 0)
			if ready := look(tr, time.Second); len(ready) != 2000 {
				b.Fatal(len(ready))
			}
		}
	})
	b.Run("again", func(b *testing.B) {
		tr := newTracker(o)
		look(tr, 0)
		for _, c := range look(tr, time.Second) {
			tr.took(c)
		}
		for b.Loop() {
			if ready := look(tr, 2*time.Second); len(ready) != 0 {
				b.Fatal(len(ready))
			}
		}
	})
}
