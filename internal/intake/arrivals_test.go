package intake

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"
	"go.uber.org/zap/zaptest/observer"

	"sizewright/internal/testkit/reference"
)

// The ways in which copy programs, browsers and desktops bring a file.

// roll is a folder of n whole photographs of different sizes, and their sizes by name.
func roll(t testing.TB, dir string, n int) map[string]int64 {
	t.Helper()
	if err := os.MkdirAll(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	sizes := map[string]int64{}
	for i := range n {
		name := fmt.Sprintf("marsh %02d.jpg", i)
		content := whole() + strings.Repeat("\n", i)
		if err := os.WriteFile(filepath.Join(dir, name), []byte(content), 0o666); err != nil {
			t.Fatal(err)
		}
		sizes[name] = int64(len(content))
	}
	return sizes
}

func TestEveryWayOfCopyingIsSeenOnce(t *testing.T) {
	const many = 8
	for _, command := range []string{
		"cp -r FROM/. TO",
		"cp -p --sparse=always FROM/* TO",
		"cp -l FROM/* TO; rm -r FROM", // one name after all
		"mv FROM/* TO",
		"rm -r TO; mv FROM TO", // the folder as a whole
		"tar -C FROM -c . | tar -C TO -x",
		"rsync -a FROM/ TO/",
		"rsync -a --inplace FROM/ TO/",
		"rsync -a --preallocate FROM/ TO/",
		"rsync -a --sparse --whole-file FROM/ TO/",
		"rsync -a --delay-updates FROM/ TO/",
		"rsync -a --bwlimit=2000 FROM/ TO/",
		"rsync -a --partial --append FROM/ TO/",
	} {
		t.Run(command, func(t *testing.T) {
			t.Parallel()
			if strings.HasPrefix(command, "rsync") {
				reference.Tool(t, "rsync")
			}
			drop := newDrop(t, "A2")
			from := filepath.Join(filepath.Dir(drop), "roll")
			sizes := roll(t, from, many)
			w := New(drop, Options{Settle: soon, Rescan: hour})
			out := running(t, w)
			script := strings.NewReplacer("FROM", `"$1"`, "TO", `"$2"`).Replace(command)
			done := make(chan error, 1)
			go func() {
				text, err := exec.Command("sh", "-ec", script, "sh", from, filepath.Join(drop, "A2")).CombinedOutput()
				if err != nil {
					err = fmt.Errorf("%w: %s", err, text)
				}
				done <- err
			}()
			for range many {
				c := next(t, out)
				if size, ok := sizes[c.Name]; !ok || c.Size != size {
					t.Errorf("%s at %d bytes, want %d", c.Name, c.Size, size)
				}
				delete(sizes, c.Name) // a second time it is not wanted
			}
			if err := <-done; err != nil {
				t.Fatal(err)
			}
			quiet(t, out, "once too often")
			if left := w.LeftAlone(); len(left) != 0 {
				t.Errorf("left alone: %v", left)
			}
		})
	}
}

// A browser keeps the name with an empty file and writes beside it; desktops
// and copy programs write under a hidden name.
func TestTemporaryNamesAreNotSeen(t *testing.T) {
	t.Parallel()
	drop := newDrop(t, "A2")
	out := running(t, New(drop, Options{Settle: soon, Rescan: hour}))
	names := map[string]string{ // the final by the temporary
		"firefly.jpg.part": "firefly.jpg", "heron.jpg.crdownload": "heron.jpg", ".goutputstream-X7GH3K": "tide.jpg",
		".reed.jpg.x7Gh3k": "reed.jpg", "._dusk.jpg": "dusk.jpg", "mud.jpg.filepart": "mud.jpg", "~$gull.jpg": "gull.jpg", "eel.tmp": "eel.jpg",
	}
	for _, kept := range []string{"firefly.jpg", "dusk.jpg"} {
		put(t, drop, "A2/"+kept, "")
	}
	for temporary := range names {
		put(t, drop, "A2/"+temporary, whole())
	}
	quiet(t, out, "which is not there yet")
	final := map[string]bool{}
	for temporary, name := range names {
		if err := os.Rename(filepath.Join(drop, "A2", temporary), filepath.Join(drop, "A2", name)); err != nil {
			t.Fatal(err)
		}
		final[name] = true
	}
	for range names {
		c := next(t, out)
		if !final[c.Name] || c.Size != int64(len(whole())) {
			t.Errorf("%+v", c)
		}
		delete(final, c.Name)
	}
	quiet(t, out, "though it was taken")
}

func TestAPhotographReplacedInPlaceIsSeenAgain(t *testing.T) {
	t.Parallel()
	drop := newDrop(t, "A2")
	out := running(t, New(drop, Options{Settle: soon, Rescan: hour}))
	put(t, drop, "A2/marsh.jpg", whole())
	next(t, out)
	put(t, drop, "A2/marsh.jpg", whole()+"\n") // renamed over
	if c := next(t, out); c.Size != int64(len(whole())+1) {
		t.Errorf("%d bytes", c.Size)
	}
	f, err := os.OpenFile(filepath.Join(drop, "A2/marsh.jpg"), os.O_WRONLY|os.O_TRUNC, 0) // written over
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.WriteString(half()); err != nil {
		t.Fatal(err)
	}
	quiet(t, out, "half written over")
	if _, err := f.WriteString(whole()[len(half()):]); err != nil {
		t.Fatal(err)
	}
	f.Close()
	if c := next(t, out); c.Size != int64(len(whole())) {
		t.Errorf("%d bytes", c.Size)
	}
	quiet(t, out, "once too often")
}

// A name is bytes.
func TestNamesAreOfferedByteForByte(t *testing.T) {
	t.Parallel()
	names := []string{
		"marsh\xff\xfe.jpg", "new\nline.jpg", "-rf.jpg", "--.jpg", strings.Repeat("m", 251) + ".jpg",
		"marsh.jpg", "Marsh.JPG", "mar\u0073\u0308h.jpg", "\x01\x1b[31m.jpg", "* ?.jpg", `back\slash.jpg`, "%2e%2e%2f.jpg", "marsh.jpg ",
	}
	drop := newDrop(t, "A2")
	out := running(t, New(drop, Options{Settle: soon, Rescan: hour}))
	for _, n := range names {
		put(t, drop, "A2/"+n, whole())
	}
	var got []string
	for range names {
		got = append(got, next(t, out).Name)
	}
	slices.Sort(got)
	slices.Sort(names)
	if !slices.Equal(got, names) {
		t.Errorf("got  %q\nwant %q", got, names)
	}
	quiet(t, out, "once too often")
}

// The kernel keeps only so many events for a program that does not fetch them.
// Here it keeps 16, if this test may say so, and the Watcher is kept from
// fetching while 500 photographs arrive.
func TestAFloodOfEventsLosesNoPhotograph(t *testing.T) {
	const many = 500
	core, logs := observer.New(zapcore.DebugLevel)
	drop := newDrop(t, "A2")
	var flood sync.Once
	w := New(drop, Options{Settle: soon, Rescan: hour, Log: zap.New(core), Now: func() time.Time {
		flood.Do(func() { // during the first look, after it has read the folder
			for i := range many {
				put(t, drop, fmt.Sprintf("A2/%d.jpg", i), "x")
			}
		})
		return time.Now()
	}})
	small := false
	w.events = func(log *zap.Logger) (e *events) {
		small = withSmallQueue(func() { e = newEvents(log) })
		return e
	}
	out := running(t, w)
	seen := map[string]bool{}
	for range many {
		seen[next(t, out).Name] = true
	}
	if len(seen) != many {
		t.Errorf("%d photographs, want %d", len(seen), many)
	}
	quiet(t, out, "once too often")
	if overflowed := logs.FilterMessageSnippet("more happened at once").Len() > 0; small && !overflowed {
		t.Error("no flood")
	}
}

// withSmallQueue has the kernel give watchers begun by do a queue of 16, if it
// lets us.
func withSmallQueue(do func()) bool {
	const setting = "/proc/sys/fs/inotify/max_queued_events"
	before, err := os.ReadFile(setting)
	if err != nil || os.WriteFile(setting, []byte("16"), 0) != nil {
		do()
		return false
	}
	defer os.WriteFile(setting, before, 0)
	do()
	return true
}
