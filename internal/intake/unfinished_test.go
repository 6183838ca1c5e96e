package intake

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"

	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"
	"go.uber.org/zap/zaptest/observer"
)

// clock goes with the time, and can be put forward.
type clock struct{ ahead atomic.Int64 }

func (c *clock) now() time.Time {
	return time.Now().Add(time.Duration(c.ahead.Load()))
}

func (c *clock) wait(d time.Duration) { c.ahead.Add(int64(d)) }

// kinds are what a Watcher left alone by place.
func kinds(w *Watcher) map[string]string {
	all := map[string]string{}
	for _, o := range w.LeftAlone() {
		all[o.Folder+"/"+o.Name] = o.Kind
	}
	return all
}

func TestAHalfCopyWaitsIsToldAndIsTakenOnceItIsWhole(t *testing.T) {
	t.Parallel()
	var c clock
	core, logs := observer.New(zapcore.WarnLevel)
	drop := newDrop(t, "A2")
	w := New(drop, Options{Settle: soon, Rescan: soon, Now: c.now, Log: zap.New(core)})
	out := running(t, w)
	put(t, drop, "A2/marsh.jpg", half())
	quiet(t, out, "though half of it is missing")
	c.wait(29 * time.Minute)
	lookTwice(t, w)
	if left := w.LeftAlone(); len(left) != 0 {
		t.Errorf("told too soon: %v", left)
	}
	c.wait(time.Minute)
	until(t, func() bool { return kinds(w)["A2/marsh.jpg"] == KindUnfinished })
	quiet(t, out, "though half of it is missing")
	if n := logs.Len(); n != 1 {
		t.Errorf("told %d times: %v", n, logs.All())
	}
	f, err := os.OpenFile(filepath.Join(drop, "A2/marsh.jpg"), os.O_WRONLY|os.O_APPEND, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.WriteString(whole()[len(half()):]); err != nil {
		t.Fatal(err)
	}
	f.Close()
	if got := next(t, out); got.Size != int64(len(whole())) {
		t.Errorf("%d bytes", got.Size)
	}
	lookTwice(t, w)
	if left := w.LeftAlone(); len(left) != 0 {
		t.Errorf("still told: %v", left)
	}
}

func TestAFileThatSomeProgramKeepsOpenWaitsAndIsTold(t *testing.T) {
	t.Parallel()
	var c clock
	drop := newDrop(t, "A2")
	put(t, drop, "A2/marsh.jpg", whole())
	f, err := os.OpenFile(filepath.Join(drop, "A2/marsh.jpg"), os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	w := New(drop, Options{Settle: soon, Rescan: soon, Now: c.now})
	out := running(t, w)
	quiet(t, out, "though it may still be written")
	c.wait(45 * time.Minute)
	until(t, func() bool { return kinds(w)["A2/marsh.jpg"] == KindUnfinished })
	f.Close() // without a change
	next(t, out)
}

func TestSettledTellsAHalfCopyFromOneUnderWay(t *testing.T) {
	t.Parallel()
	drop := newDrop(t, "A2")
	put(t, drop, "A2/half.jpg", half())
	put(t, drop, "A2/open.jpg", whole())
	put(t, drop, "A2/whole.jpg", whole())
	f, err := os.OpenFile(filepath.Join(drop, "A2/open.jpg"), os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	files, left, err := Settled(t.Context(), drop, Options{Settle: soon / 4})
	if err != nil || len(files) != 1 || files[0].Name != "whole.jpg" {
		t.Errorf("%v, %v", files, err)
	}
	if len(left) != 2 || left[0].Kind != KindUnfinished || left[0].Name != "half.jpg" || left[1].Kind != KindUnfinished || left[1].Name != "open.jpg" {
		t.Errorf("left alone: %v", left)
	}
}

func TestOneLookTellsACopyThatBrokeOffFromOneUnderWay(t *testing.T) {
	drop := newDrop(t, "A2")
	var c clock
	put(t, drop, "A2/whole.jpg", whole())
	put(t, drop, "A2/half.jpg", half())
	put(t, drop, "A2/open.jpg", half())
	f, err := os.OpenFile(filepath.Join(drop, "A2/open.jpg"), os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	files, _, err := Scan(drop)
	if err != nil {
		t.Fatal(err)
	}
	told := func(ahead time.Duration) (names string) {
		c.wait(ahead)
		for _, x := range BrokenOff(drop, files, Options{Now: c.now}) {
			names += x.Name + " " + x.Kind + " "
		}
		return names
	}
	if got := told(0); got != "half.jpg unfinished " {
		t.Errorf("at once: %q", got)
	}
	if got := told(time.Hour); got != "half.jpg unfinished open.jpg unfinished " && got != "open.jpg unfinished half.jpg unfinished " {
		t.Errorf("an hour later: %q", got)
	}
}

// Every sentence names the file, the fault, since when, and the remedy.
func TestWhatIsUnfinishedIsToldInASentence(t *testing.T) {
	at := time.Date(2026, 3, 14, 22, 14, 30, 0, time.UTC)
	drop := newDrop(t, "A2")
	put(t, drop, "A2/marsh.jpg", half())
	cut := lookClosely(drop, seen(t, drop))
	for _, tt := range []struct {
		why        error
		kind, text string
	}{
		{cut, KindUnfinished, fmt.Sprintf("drop/A2/marsh.jpg: unfinished, and unchanged since 2026-03-14 22:14: its end is missing: only %.1f kB are there; copy it again, or move it out of the drop folder", float64(len(half()))/1000)},
		{errOpen, KindUnfinished, "drop/A2/marsh.jpg: still open, and unchanged since 2026-03-14 22:14: some program has it open for writing; close it there, or move it out of the drop folder"},
		{errors.New("input/output error"), KindUnfinished, "drop/A2/marsh.jpg: not whole, and unchanged since 2026-03-14 22:14: input/output error; copy it again, or move it out of the drop folder"},
		{&fs.PathError{Op: "open", Path: "x", Err: fs.ErrPermission}, KindUnreadable, "drop/A2/marsh.jpg: cannot be looked at (open x: permission denied); let the user that runs sizewright read it"},
	} {
		s := sighting{Candidate: Candidate{Folder: "A2", Name: "marsh.jpg"}, since: at, why: tt.why}
		if o := s.unfinished(); o.Kind != tt.kind || o.Why() != tt.text {
			t.Errorf("told as %s:\ngot  %s\nwant %s", o.Kind, o.Why(), tt.text)
		}
	}
}

// What may not be read is told at once: nothing will come of waiting.
func TestWhatMayNotBeReadIsToldAtOnce(t *testing.T) {
	tr := newTracker(Options{Settle: time.Second, Rescan: time.Minute, StalledAfter: time.Hour,
		look: func(c Candidate) (*blanks, error) {
			if c.Name == "secret.jpg" {
				return nil, fs.ErrPermission
			}
			return nil, errOpen
		}})
	start := time.Date(2026, 3, 14, 2, 0, 0, 0, time.UTC)
	files := []Candidate{{Folder: "A2", Name: "marsh.jpg"}, {Folder: "A2", Name: "secret.jpg"}}
	tr.look(files, start)
	tr.look(files, start.Add(time.Second))
	if left := tr.unfinished(start.Add(time.Second), tr.stalled); len(left) != 1 || left[0].Name != "secret.jpg" || left[0].Kind != KindUnreadable {
		t.Errorf("%v", left)
	}
	if left := tr.unfinished(start.Add(time.Hour), tr.stalled); len(left) != 2 {
		t.Errorf("after an hour: %v", left)
	}
}
