package intake

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"go.uber.org/zap"
	"golang.org/x/sys/unix"

	"sizewright/internal/photo"
)

// Where nobody can say who has a file open.

// blindCloser is a closer look that gets no lease.
func blindCloser(drop string) *closer {
	l := newCloser(drop, photo.DefaultLimits(), zap.NewNop())
	l.lease = func(int) error { return errors.Join(errBlind, unix.EACCES) }
	return l
}

// greyTIFF is an uncompressed TIFF whose header and directory come first: reserved
// bytes behind them are black pixels, so it has its end as soon as its size is set.
func greyTIFF(width, height int) []byte {
	le := func(n, v int) string {
		b := make([]byte, n)
		for i := range b {
			b[i] = byte(v >> (8 * i))
		}
		return string(b)
	}
	fields := [][2]int{{256, width}, {257, height}, {258, 8}, {259, 1}, {262, 1}, {273, 122}, {277, 1}, {278, height}, {279, width * height}}
	head := "II*\x00" + le(4, 8) + le(2, len(fields))
	for _, f := range fields {
		head += le(2, f[0]) + le(2, 4) + le(4, 1) + le(4, f[1])
	}
	head += le(4, 0)
	pixels := make([]byte, width*height)
	for i := range pixels {
		pixels[i] = byte(64 + i%127)
	}
	return append([]byte(head), pixels...)
}

// reserved is a file of which only the first n bytes have been written.
func reserved(b []byte, n int) string {
	return string(b[:n]) + strings.Repeat("\x00", len(b)-n)
}

// A share can keep the times and the size through any number of writes.
func TestAPartThatIsFilledAfterTheFirstLookIsSeenByTheSecond(t *testing.T) {
	b := greyTIFF(300, 200)
	drop := newDrop(t, "A2")
	put(t, drop, "A2/marsh.tif", reserved(b, len(b)/4))
	path := filepath.Join(drop, "A2/marsh.tif")
	c, l := seen(t, drop), blindCloser(drop)
	blanks, err := l.look(c)
	if err != nil || len(blanks.spans) != 1 || blanks.spans[0].to != int64(len(b)) {
		t.Fatalf("%v, %v", blanks, err)
	}
	c.blanks = blanks
	if again, err := l.look(c); err != nil || again != blanks {
		t.Errorf("unchanged: %v, %v", again, err)
	}
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := f.WriteAt(b[len(b)-7:], int64(len(b)-7)); err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(path, c.ModTime, c.ModTime); err != nil {
		t.Fatal(err)
	}
	if _, err := l.look(c); err != errOther {
		t.Errorf("filled at its end: %v", err)
	}
}

func TestBlanksAreWholePagesOfZeros(t *testing.T) {
	b := make([]byte, 5*blank+100)
	b[blank] = 1     // the second page
	b[4*blank-1] = 1 // the fourth
	got, err := blanksOf(bytes.NewReader(b), int64(len(b)))
	want := "[{0 4096} {8192 12288} {16384 20580}]"
	if err != nil || fmt.Sprint(got.spans) != want {
		t.Errorf("%v, %v; want %s", got, err, want)
	}
	for at, noticed := range map[int]bool{0: true, blank - 1: true, blank + 1: false, 2 * blank: true, len(b) - 1: true} {
		c := bytes.Clone(b)
		c[at] = 1
		if still, err := got.still(bytes.NewReader(c)); err != nil || still == noticed {
			t.Errorf("a byte written at %d: still %v, %v", at, still, err)
		}
	}
	if _, err := got.still(bytes.NewReader(b[:len(b)-1])); err != errOther {
		t.Errorf("cut: %v", err)
	}
}

// The first look is after the ordinary settle time, the second fifteen of them later;
// whatever is seen to change in between starts both anew. One look reads one file.
func TestWhereNobodyKnowsAFileIsLookedAtTwice(t *testing.T) {
	start := time.Date(2026, 3, 14, 2, 0, 0, 0, time.UTC)
	second := func(n int) time.Time { return start.Add(time.Duration(n) * time.Second) }
	files := []Candidate{{Folder: "A2", Name: "marsh.tif"}, {Folder: "A2", Name: "reed.tif"}}
	for _, tt := range []struct {
		claim    string
		change   int // at this second marsh.tif is found filled at a look
		offered  map[string]int
		lookedAt string
	}{
		{"two looks", -1, map[string]int{"marsh.tif": 16, "reed.tif": 17}, "marsh 1, reed 2, marsh 16, reed 17"},
		{"filled in between", 16, map[string]int{"marsh.tif": 32, "reed.tif": 18}, "marsh 1, reed 2, marsh 16, marsh 17, reed 18, marsh 32"},
	} {
		tr := newTracker(Options{Settle: time.Second, Rescan: time.Minute, StalledAfter: time.Hour, look: steady})
		var now int
		var looks []string
		tr.whole = func(c Candidate) (*blanks, error) {
			looks = append(looks, fmt.Sprint(strings.TrimSuffix(c.Name, ".tif"), " ", now))
			if c.Name == "marsh.tif" && now == tt.change {
				return c.blanks, errOther
			}
			if c.blanks != nil {
				return c.blanks, nil
			}
			return &blanks{}, nil
		}
		got := map[string]int{}
		for now = range 60 {
			ready, _ := tr.look(files, second(now))
			for _, c := range ready {
				got[c.Name] = now
				tr.took(c)
			}
		}
		if fmt.Sprint(got) != fmt.Sprint(tt.offered) || strings.Join(looks, ", ") != tt.lookedAt {
			t.Errorf("%s: offered %v after looks %v; want %v after %s", tt.claim, got, looks, tt.offered, tt.lookedAt)
		}
	}
}

// blindly is how to look where no lease is to be had.
func blindly(drop string, o Options) Options {
	l := blindCloser(drop)
	o.look = l.look
	return o
}

// A writer that pauses for longer than the ordinary settle time is waited for.
func TestWhereNobodyKnowsASlowWriterIsWaitedFor(t *testing.T) {
	t.Parallel()
	const parts, pause = 8, soon
	b := greyTIFF(300, 200)
	drop := newDrop(t, "A2")
	path := filepath.Join(drop, "A2/marsh.tif")
	put(t, drop, "A2/marsh.tif", reserved(b, len(b)/parts))
	w := New(drop, blindly(drop, Options{Settle: soon / 8, Rescan: hour})) // rests for nearly two pauses
	out := running(t, w)
	for i := 1; i < parts; i++ {
		select {
		case <-out:
			t.Fatalf("offered with %d of %d parts", i, parts)
		case <-time.After(pause):
		}
		f, err := os.OpenFile(path, os.O_WRONLY, 0)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.WriteAt(b[i*len(b)/parts:(i+1)*len(b)/parts], int64(i*len(b)/parts)); err != nil {
			t.Fatal(err)
		}
		f.Close()
	}
	c := next(t, out)
	if err := blindStillWhole(drop, c); err != nil {
		t.Errorf("taken later: %v", err)
	}
	quiet(t, out, "once too often")
}

// blindStillWhole is StillWhole where no lease is to be had.
func blindStillWhole(drop string, c Candidate) error {
	_, err := blindCloser(drop).look(c)
	return err
}

func TestSettledWaitsLongerWhereNobodyKnows(t *testing.T) {
	t.Parallel()
	drop := newDrop(t, "A2")
	put(t, drop, "A2/marsh.jpg", whole())
	began := time.Now()
	files, left, err := Settled(t.Context(), drop, blindly(drop, Options{Settle: soon / 8}))
	if err != nil || len(files) != 1 || len(left) != 0 || time.Since(began) < blindRest*soon/8 {
		t.Errorf("%v, %v, %v after %v", files, left, err, time.Since(began))
	}
}

// once, of a file that came an hour ago.
func TestSettledTakesAtOnceWhatHasRested(t *testing.T) {
	hoursLater := func() time.Time { return time.Now().Add(2 * time.Hour) }
	settles := func(drop string, o Options) ([]Candidate, error) {
		ctx, cancel := context.WithTimeout(t.Context(), soon/4)
		defer cancel()
		o.Settle = time.Hour
		files, _, err := Settled(ctx, drop, o)
		return files, err
	}
	old := time.Now().Add(-30 * 24 * time.Hour)
	for _, tt := range []struct {
		claim  string
		o      func(drop string) Options
		then   func(path string)
		atOnce bool
	}{
		{"it has rested for two hours", func(string) Options { return Options{Now: hoursLater} }, nil, true},
		{"it came this minute with an old photograph's time, as by cp -p", func(string) Options { return Options{} }, func(path string) {
			if err := os.Chtimes(path, old, old); err != nil {
				t.Fatal(err)
			}
		}, false},
		{"the clock was put back", func(string) Options {
			return Options{Now: func() time.Time { return time.Now().Add(-2 * time.Hour) }}
		}, nil, false},
		{"some program has it open", func(string) Options { return Options{Now: hoursLater} }, func(path string) {
			f, err := os.OpenFile(path, os.O_RDWR, 0)
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { f.Close() })
		}, false},
		{"its end is missing", func(string) Options { return Options{Now: hoursLater} }, func(path string) {
			if err := os.Truncate(path, int64(len(half()))); err != nil {
				t.Fatal(err)
			}
		}, false},
		{"nobody knows who writes to it", func(drop string) Options { return blindly(drop, Options{Now: hoursLater}) }, nil, false},
	} {
		drop := newDrop(t, "A2")
		put(t, drop, "A2/marsh.jpg", whole())
		if tt.then != nil {
			tt.then(filepath.Join(drop, "A2/marsh.jpg"))
		}
		files, err := settles(drop, tt.o(drop))
		if atOnce := err == nil && len(files) == 1; atOnce != tt.atOnce {
			t.Errorf("%s: taken at once: %v, %v", tt.claim, files, err)
		}
	}
}
