package morning

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// known tells whether a print is known, and by its own record.
func (s *studioDir) known(m *Made, e Entry) bool {
	s.Helper()
	found, ok, _ := m.Find(s.root, Key(&e.Record))
	if ok && found.Path != e.Path {
		s.Errorf("the print of %s is known as that of %s", e.Path, found.Path)
	}
	return ok
}

func TestAPrintIsKnownWhileItIsThere(t *testing.T) {
	s := newStudio(t)
	kept := s.made("A2", "reeds.jpg")
	s.repeat(kept, "reeds (copy).jpg")
	held := s.tooSmall("40x60in", "heron.jpg")
	gone := s.made("A3", "creek.jpg")
	s.must(os.Remove(filepath.Join(s.root, "outbox/A3/creek.tif")))
	replaced := s.made("A1", "gull.jpg")
	s.must(os.Remove(filepath.Join(s.root, "outbox/A1/gull.tif")))
	s.must(os.Mkdir(filepath.Join(s.root, "outbox/A1/gull.tif"), 0o777))

	var made Made
	s.must(made.Learn(s.Context(), Reader{Root: s.root}))
	if !s.known(&made, kept) {
		t.Errorf("the print %s is not known", kept.Path)
	}
	for _, e := range []Entry{held, gone, replaced} {
		if s.known(&made, e) {
			t.Errorf("there is no print of %s, and it is known", e.Path)
		}
	}
	s.must(os.Remove(filepath.Join(s.root, "outbox/A2/reeds.tif")))
	if s.known(&made, kept) {
		t.Errorf("the print %s is known though its TIFF was taken away", kept.Path)
	}
}

// TestAPrintIsKnownByAnotherThatIsStillThere: made twice, and the later taken away.
func TestAPrintIsKnownByAnotherThatIsStillThere(t *testing.T) {
	s := newStudio(t)
	first := s.made("A2", "reeds.jpg")
	r := s.printed("A2", "reeds again.jpg")
	r.Source.SHA256, r.Identity = first.Record.Source.SHA256, first.Record.Identity
	second := s.publish(r)
	s.must(os.Remove(filepath.Join(s.root, Beside(second, second.Record.Print.File))))
	var made Made
	made.Add(first)
	made.Add(second)
	if !s.known(&made, first) {
		t.Error("the first print lies there and is not known")
	}
}

// TestWhatOthersMadeIsLearned, and a record whose file became another's with it.
func TestWhatOthersMadeIsLearned(t *testing.T) {
	s := newStudio(t)
	var made Made
	s.must(made.Learn(s.Context(), Reader{Root: s.root}))
	first := s.made("A2", "reeds.jpg")
	if s.known(&made, first) {
		t.Fatal("known before it was learned")
	}
	s.must(made.Learn(s.Context(), Reader{Root: s.root}))
	if !s.known(&made, first) {
		t.Error("a new print is not known")
	}
	other := s.printed("A2", "reeds.jpg")
	other.Identity = "another picture of this name"
	second := s.publish(other)
	if second.Path != first.Path {
		t.Fatalf("meant to take the place of %s: %s", first.Path, second.Path)
	}
	s.must(made.Learn(s.Context(), Reader{Root: s.root}))
	if s.known(&made, first) || !s.known(&made, second) {
		t.Error("what took a record's place is not known instead of it")
	}
}

// An emptied, cut or replaced TIFF is no print, and of which it is said so. One that was
// taken away was.
func TestASpoiltPrintIsNotTakenForMade(t *testing.T) {
	for claim, spoil := range map[string]func(file string, whole []byte) error{
		"something else": func(file string, _ []byte) error { return errors.Join(os.Remove(file), os.Mkdir(file, 0o777)) },
		"something else lies": func(file string, whole []byte) error {
			return errors.Join(os.Rename(file, file+".moved"), os.Symlink(filepath.Base(file)+".moved", file))
		},
		"something else lies there": func(file string, _ []byte) error { return errors.Join(os.Remove(file), syscall.Mkfifo(file, 0o666)) },
		"it has 0 bytes":            func(file string, _ []byte) error { return os.Truncate(file, 0) },
		"when it was made":          func(file string, whole []byte) error { return os.Truncate(file, int64(len(whole)-1)) },
		"it is overwritten": func(file string, whole []byte) error {
			clear(whole[len(whole)/2:])
			return os.WriteFile(file, whole, 0o666)
		},
		"it does not begin": func(file string, whole []byte) error { clear(whole); return os.WriteFile(file, whole, 0o666) },
		"another program's": func(file string, whole []byte) error { return swapStrips(file, whole) },
		"it does not begin as the TIFFs written": func(file string, whole []byte) error {
			return os.WriteFile(file, bytes.Repeat([]byte{'x'}, len(whole)), 0o666)
		},
	} {
		s := newStudio(t)
		e := s.made("A2", "reeds.jpg")
		file := filepath.Join(s.root, Beside(e, e.Record.Print.File))
		whole, err := os.ReadFile(file)
		s.must(err)
		var made Made
		made.Add(e)
		if _, ok, spoilt := made.Find(s.root, Key(&e.Record)); !ok || spoilt != nil {
			t.Fatalf("as it was made, it is not known: %q", spoilt)
		}
		s.must(spoil(file, whole))
		_, ok, spoilt := made.Find(s.root, Key(&e.Record))
		if ok || len(spoilt) != 1 || !strings.HasPrefix(spoilt[0], "outbox/A2/reeds.tif: ") || !strings.Contains(spoilt[0], claim) {
			t.Errorf("known %t, %q; want that %s", ok, spoilt, claim)
		}
		s.must(os.RemoveAll(file))
		if _, ok, spoilt = made.Find(s.root, Key(&e.Record)); ok || spoilt != nil {
			t.Errorf("taken away, it is known %t, and %q", ok, spoilt)
		}
	}
}

// swapStrips writes a file whose table of strips is another program's.
func swapStrips(file string, whole []byte) error {
	i := bytes.Index(whole, []byte{16, 0, 0, 0, 18, 0, 0, 0})
	copy(whole[i:], []byte{18, 0, 0, 0, 16, 0, 0, 0})
	return os.WriteFile(file, whole, 0o666)
}

// Records have told the length of a print since there are records. One that tells none is
// gone by the form of the file.
func TestAPrintOfUnknownLengthIsKnownByItsForm(t *testing.T) {
	s := newStudio(t)
	e := s.made("A2", "reeds.jpg")
	e.Record.Print.Bytes = 0
	s.put(e.Path, encoded(t, e.Record))
	var made Made
	made.Add(e)
	if !s.known(&made, e) {
		t.Error("it is not known")
	}
	s.must(os.Truncate(filepath.Join(s.root, "outbox/A2/reeds.tif"), 100))
	if s.known(&made, e) {
		t.Error("cut to 100 bytes, it is known")
	}
}
