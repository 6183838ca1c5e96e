package daemon

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"go.uber.org/zap"
	"go.uber.org/zap/zaptest/observer"

	"sizewright/internal/intake"
	"sizewright/internal/photo"
	"sizewright/internal/record"
	"sizewright/internal/studio"
)

func TestTheStatusSaysWhatWaitsForRoom(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "a.jpg", jpegOf(t, 600, 420))
	drop(t, s, "A6", "b.jpg", jpegOf(t, 602, 420))
	o.free = func() (uint64, error) { return 0, nil }
	serving(t, o)
	all := statusBecomes(t, s, func(d Status) bool { return len(d.Stays) == 2 }).Stays
	for _, x := range all {
		if !x.Waits || !strings.Contains(x.Text, "waits for room") {
			t.Errorf("of %s it says %q", x.Name, x.Text)
		}
	}
}

func TestTheStatusSaysWhatFaultAnOrderMet(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "a.jpg", jpegOf(t, 600, 420))
	o.Decode = func(context.Context, string, photo.Limits) (*photo.Photo, error) {
		return nil, errors.New("the disk does not answer")
	}
	serving(t, o)
	x := statusBecomes(t, s, func(d Status) bool { return len(d.Stays) == 1 }).Stays[0]
	if x.Folder != "A6" || x.Name != "a.jpg" || !x.Waits || !strings.Contains(x.Text, "does not answer") {
		t.Errorf("it says %+v", x)
	}
}

func TestTheStatusSaysWhatIsUnfinished(t *testing.T) {
	got := incomplete([]intake.LeftAlone{
		{Folder: "A6", Name: "half.jpg", Kind: intake.KindUnfinished, Text: "unfinished"},
		{Folder: "A6", Name: "link.jpg", Kind: intake.KindLink, Text: "a link"},  // which any look sees
		{Folder: "A6", Kind: intake.KindUnreadable, Text: "cannot be looked at"}, // by this user
	})
	want := []Stay{{Folder: "A6", Name: "half.jpg", Text: "unfinished"}, {Folder: "A6", Text: "cannot be looked at"}}
	if !slices.Equal(got, want) {
		t.Errorf("it says %+v", got)
	}
}

// atWork is a daemon's loop that has not begun.
func atWork(t *testing.T, toml string) (*studio.Studio, *loop) {
	t.Helper()
	s, o := newStudio(t, "A6", toml)
	r, leave, err := open(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(leave)
	l := newLoop(r)
	l.watcher = intake.New(s.Drop(), r.intake())
	t.Cleanup(l.notifier.close)
	return s, l
}

func TestAReportThatWouldSayTheSameIsNotWritten(t *testing.T) {
	s, l := atWork(t, quick)
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 600, 420))
	seen, _, err := intake.Scan(s.Drop())
	if err != nil {
		t.Fatal(err)
	}
	l.queue.ended(seen[0], outcome{noRoom, "waits for room", "", 1 << 30}, time.Now())
	page := filepath.Join(s.MorningDir(), "latest.html")
	report := func() (text string) {
		t.Helper()
		if l.endRun(true); l.writing {
			l.written(<-l.wrote)
		}
		if !l.due.IsZero() {
			t.Fatal("no report")
		}
		defer os.Remove(page)
		b, _ := os.ReadFile(page)
		return string(b)
	}
	if got := report(); !strings.Contains(got, "for room") {
		t.Error("the report does not tell what waits")
	}
	if got := report(); got != "" {
		t.Error("the same was told again")
	}
	l.night.note(record.Left{Folder: "A6", Name: "half.jpg", Text: "unfinished"})
	if got := report(); !strings.Contains(got, "for room") || !strings.Contains(got, "nfinished") {
		t.Error("the report does not tell what is new, and what waits all the while")
	}
	if err := os.Remove(filepath.Join(s.Drop(), "A6", "marsh.jpg")); err != nil {
		t.Fatal(err)
	}
	if got := report(); got == "" || strings.Contains(got, "for room") {
		t.Error("the report tells of what was taken away")
	}
}

func TestWhatIsLeftAloneIsLoggedOnce(t *testing.T) {
	_, l := atWork(t, quick)
	log, lines := observer.New(zap.WarnLevel)
	l.night.log = zap.New(log)
	odd := record.Left{Folder: "A9x", Text: "no size"}
	for range 3 {
		l.night.leave(odd)
		l.night.end()
	}
	if n := lines.Len(); n != 1 {
		t.Errorf("it was logged %d times over three reports", n)
	}
	l.night.end() // one without it
	l.night.leave(odd)
	if n := lines.Len(); n != 2 {
		t.Errorf("when it came back, it was logged %d times in all", n)
	}
	l.noteLeft([]intake.LeftAlone{{Folder: "A6", Name: "link", Kind: intake.KindLink, Text: "a link"}}, func(x record.Left) { l.night.note(x) })
	if n := lines.Len(); n != 2 {
		t.Error("what the look at the drop folders has logged is logged again")
	}
}
