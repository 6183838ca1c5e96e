package morning

import (
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
	"time"
)

func paths(entries []Entry) []string {
	var out []string
	for _, e := range entries {
		out = append(out, e.Path)
	}
	return out
}

func TestReadFindsRecordsInTheOrderTheyWereFinished(t *testing.T) {
	s := newStudio(t)
	s.tooSmall("40x60in", "heron.jpg")
	s.made("A2", "reeds.jpg")
	s.made("24x36in", "dawn.jpg")
	s.unreadable("A2", "gull.jpg")
	got, err := Read(s.root, time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"held/40x60in/heron.jpg.json", "outbox/A2/reeds.json", "outbox/24x36in/dawn.json", "held/A2/gull.jpg.json"}
	if !slices.Equal(paths(got), want) {
		t.Errorf("got %q, want %q", paths(got), want)
	}
}

func TestReadTakesTheNightFromItsFirstMoment(t *testing.T) {
	s := newStudio(t)
	s.made("A2", "yesterday.jpg")
	since := s.made("A2", "first.jpg").Record.Times.Finished
	s.made("A2", "second.jpg")
	got, err := Read(s.root, since.UTC())
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
	s := newStudio(t)
	good := s.made("A2", "reeds.jpg")
	data, err := good.Record.Encode()
	s.must(err)

	s.put("outbox/A2/empty.json", nil)
	s.put("outbox/A2/list.json", []byte("[1, 2]"))
	s.put("outbox/A2/foreign.json", []byte(`{"name": "marsh"}`))
	s.put("outbox/A2/short.json", data[:len(data)/2])
	s.put("outbox/A2/large.json", append(slices.Clone(data), make([]byte, maxRecordBytes)...))
	s.put("outbox/A2/bare.json", []byte(`{"schema": "sizewright/print-record/1", "status": "ready"}`))
	s.put("outbox/A2/odd.json", []byte(`{"schema": "sizewright/print-record/1", "status": "lost"}`))
	s.put("outbox/A2/record.txt", data)
	s.put("outbox/loose.json", data)
	s.put("outbox/morning/2026-03-13.json", data)
	s.put("originals/A2/stray.json", data)
	s.must(os.Mkdir(filepath.Join(s.root, "outbox/A2/dir.json"), 0o777))
	s.must(syscall.Mkfifo(filepath.Join(s.root, "outbox/A2/pipe.json"), 0o666))
	s.must(os.Symlink("reeds.json", filepath.Join(s.root, "outbox/A2/link.json")))
	s.must(os.Symlink("A2", filepath.Join(s.root, "outbox/linked")))
	s.must(os.Symlink("nowhere", filepath.Join(s.root, "held/broken")))

	got, err := Read(s.root, time.Time{})
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{good.Path}; !slices.Equal(paths(got), want) {
		t.Errorf("got %q, want %q", paths(got), want)
	}
}

func TestHeldRecordsAreReadAlone(t *testing.T) {
	s := newStudio(t)
	s.made("A2", "reeds.jpg")
	held := s.tooSmall("40x60in", "heron.jpg")
	got, err := ReadHeld(s.root)
	s.must(err)
	if want := []string{held.Path}; !slices.Equal(paths(got), want) {
		t.Errorf("got %q, want %q", paths(got), want)
	}
}

func TestReadSaysThatTheStudioIsNotThere(t *testing.T) {
	if _, err := Read(filepath.Join(t.TempDir(), "gone"), time.Time{}); err == nil {
		t.Error("no studio, and no error")
	}
}

func TestAStudioWithoutPrintsHasNoRecords(t *testing.T) {
	got, err := Read(t.TempDir(), time.Time{})
	if err != nil || len(got) != 0 {
		t.Errorf("got %v, %v", got, err)
	}
}

// TestTheSamePictureInAnotherFolderIsAnotherOrder: two drop folders of one
// size may have different owners, and each expects its print in its own.
func TestTheSamePictureInAnotherFolderIsAnotherOrder(t *testing.T) {
	s := newStudio(t)
	one, two := s.printed("A2", "reeds.jpg"), s.printed("a2", "reeds.jpg")
	if one.Identity != two.Identity {
		t.Fatal("the two are meant to be the same print")
	}
	if Key(one) == Key(two) {
		t.Error("A2 and a2 have one key")
	}
}

func TestAFileIsBesideItsRecord(t *testing.T) {
	e := Entry{Path: "outbox/A2/reeds.json"}
	if got := Beside(e, "reeds.tif"); got != "outbox/A2/reeds.tif" {
		t.Errorf("a print's: %s", got)
	}
	e.Record.RepeatOf = "outbox/a2/first.json"
	if got := Beside(e, "first.tif"); got != "outbox/a2/first.tif" {
		t.Errorf("a repeat's: %s", got)
	}
}
