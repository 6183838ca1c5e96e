package record_test

import (
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
	"time"

	"sizewright/internal/record"
	"sizewright/internal/testkit/studiotest"
)

func reader(root string) record.Reader { return record.Reader{Root: root} }

func paths(entries []record.Entry) []string {
	var out []string
	for _, e := range entries {
		out = append(out, e.Path)
	}
	return out
}

func TestReadFindsRecordsInTheOrderTheyWereFinished(t *testing.T) {
	s := studiotest.New(t)
	s.TooSmall("40x60in", "heron.jpg")
	s.Made("A2", "reeds.jpg")
	s.Made("24x36in", "dawn.jpg")
	s.Unreadable("A2", "gull.jpg")
	got, err := reader(s.Root).Read(t.Context(), time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"held/40x60in/heron.jpg.json", "outbox/A2/reeds.json", "outbox/24x36in/dawn.json", "held/A2/gull.jpg.json"}
	if !slices.Equal(paths(got), want) {
		t.Errorf("got %q, want %q", paths(got), want)
	}
}

func TestReadTakesTheNightFromItsFirstMoment(t *testing.T) {
	s := studiotest.New(t)
	s.Made("A2", "yesterday.jpg")
	since := s.Made("A2", "first.jpg").Record.Times.Finished
	s.Made("A2", "second.jpg")
	got, err := reader(s.Root).Read(t.Context(), since.UTC())
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"outbox/A2/first.json", "outbox/A2/second.json"}; !slices.Equal(paths(got), want) {
		t.Errorf("got %q, want %q", paths(got), want)
	}
}

// TestReadPassesOverWhatIsNoRecord: people keep things in their outbox, and no
// stray file may cost them their report.
func TestReadPassesOverWhatIsNoRecord(t *testing.T) {
	s := studiotest.New(t)
	good := s.Made("A2", "reeds.jpg")
	data, err := good.Record.Encode()
	s.Must(err)

	s.Put("outbox/A2/empty.json", nil)
	s.Put("outbox/A2/list.json", []byte("[1, 2]"))
	s.Put("outbox/A2/foreign.json", []byte(`{"name": "marsh"}`))
	s.Put("outbox/A2/short.json", data[:len(data)/2])
	s.Put("outbox/A2/large.json", append(slices.Clone(data), make([]byte, 1<<20)...))
	s.Put("outbox/A2/bare.json", []byte(`{"schema": "sizewright/print-record/1", "status": "ready"}`))
	s.Put("outbox/A2/odd.json", []byte(`{"schema": "sizewright/print-record/1", "status": "lost"}`))
	s.Put("outbox/A2/record.txt", data)
	s.Put("outbox/loose.json", data)
	s.Put("outbox/morning/2026-03-13.json", data)
	s.Put("originals/A2/stray.json", data)
	s.Must(os.Mkdir(filepath.Join(s.Root, "outbox/A2/dir.json"), 0o777))
	s.Must(syscall.Mkfifo(filepath.Join(s.Root, "outbox/A2/pipe.json"), 0o666))
	s.Must(os.Symlink("reeds.json", filepath.Join(s.Root, "outbox/A2/link.json")))
	s.Must(os.Symlink("A2", filepath.Join(s.Root, "outbox/linked")))
	s.Must(os.Symlink("nowhere", filepath.Join(s.Root, "held/broken")))

	got, err := reader(s.Root).Read(t.Context(), time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{good.Path}; !slices.Equal(paths(got), want) {
		t.Errorf("got %q, want %q", paths(got), want)
	}
}

func TestHeldRecordsAreReadAlone(t *testing.T) {
	s := studiotest.New(t)
	s.Made("A2", "reeds.jpg")
	held := s.TooSmall("40x60in", "heron.jpg")
	got, err := reader(s.Root).Held(t.Context())
	s.Must(err)
	if want := []string{held.Path}; !slices.Equal(paths(got), want) {
		t.Errorf("got %q, want %q", paths(got), want)
	}
}

func TestReadSaysThatTheStudioIsNotThere(t *testing.T) {
	if _, err := reader(filepath.Join(t.TempDir(), "gone")).Read(t.Context(), time.Time{}); err == nil {
		t.Error("no studio, and no error")
	}
}

func TestAStudioWithoutPrintsHasNoRecords(t *testing.T) {
	got, err := reader(t.TempDir()).Read(t.Context(), time.Time{})
	if err != nil || len(got) != 0 {
		t.Errorf("got %v, %v", got, err)
	}
}

// TestTheSamePictureInAnotherFolderIsAnotherOrder: two drop folders of one
// size may have different owners, and each expects its print in its own.
func TestTheSamePictureInAnotherFolderIsAnotherOrder(t *testing.T) {
	s := studiotest.New(t)
	one, two := s.Printed("A2", "reeds.jpg"), s.Printed("a2", "reeds.jpg")
	if one.Identity != two.Identity {
		t.Fatal("the two are meant to be the same print")
	}
	if record.Key(one) == record.Key(two) {
		t.Error("A2 and a2 have one key")
	}
}

func TestAFileIsBesideItsRecord(t *testing.T) {
	e := record.Entry{Path: "outbox/A2/reeds.json"}
	if got := e.Beside("reeds.tif"); got != "outbox/A2/reeds.tif" {
		t.Errorf("a print's: %s", got)
	}
	e.Record.RepeatOf = "outbox/a2/first.json"
	if got := e.Beside("first.tif"); got != "outbox/a2/first.tif" {
		t.Errorf("a repeat's: %s", got)
	}
}
