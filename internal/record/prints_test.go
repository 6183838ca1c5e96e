package record_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"sizewright/internal/record"
	"sizewright/internal/testkit/studiotest"
)

// known tells whether a print is known, and by its own record.
func known(s *studiotest.Studio, m *record.Prints, e record.Entry) bool {
	s.Helper()
	found, ok, _ := m.Find(s.Root, record.Key(&e.Record))
	if ok && found.Path != e.Path {
		s.Errorf("the print of %s is known as that of %s", e.Path, found.Path)
	}
	return ok
}

func TestAPrintIsKnownWhileItIsThere(t *testing.T) {
	s := studiotest.New(t)
	kept := s.Made("A2", "reeds.jpg")
	s.Repeat(kept, "reeds (copy).jpg")
	held := s.TooSmall("40x60in", "heron.jpg")
	gone := s.Made("A3", "creek.jpg")
	s.Must(os.Remove(filepath.Join(s.Root, "outbox/A3/creek.tif")))
	replaced := s.Made("A1", "gull.jpg")
	s.Must(os.Remove(filepath.Join(s.Root, "outbox/A1/gull.tif")))
	s.Must(os.Mkdir(filepath.Join(s.Root, "outbox/A1/gull.tif"), 0o777))

	var made record.Prints
	s.Must(made.Learn(s.Context(), record.Reader{Root: s.Root}))
	if !known(s, &made, kept) {
		t.Errorf("the print %s is not known", kept.Path)
	}
	for _, e := range []record.Entry{held, gone, replaced} {
		if known(s, &made, e) {
			t.Errorf("there is no print of %s, and it is known", e.Path)
		}
	}
	s.Must(os.Remove(filepath.Join(s.Root, "outbox/A2/reeds.tif")))
	if known(s, &made, kept) {
		t.Errorf("the print %s is known though its TIFF was taken away", kept.Path)
	}
}

// TestAPrintIsKnownByAnotherThatIsStillThere: made twice, and the later taken away.
func TestAPrintIsKnownByAnotherThatIsStillThere(t *testing.T) {
	s := studiotest.New(t)
	first := s.Made("A2", "reeds.jpg")
	r := s.Printed("A2", "reeds again.jpg")
	r.Source.SHA256, r.Identity = first.Record.Source.SHA256, first.Record.Identity
	second := s.Publish(r)
	s.Must(os.Remove(filepath.Join(s.Root, second.Beside(second.Record.Print.File))))
	var made record.Prints
	made.Add(first)
	made.Add(second)
	if !known(s, &made, first) {
		t.Error("the first print lies there and is not known")
	}
}

// TestWhatOthersMadeIsLearned, and a record whose file became another's with it.
func TestWhatOthersMadeIsLearned(t *testing.T) {
	s := studiotest.New(t)
	var made record.Prints
	s.Must(made.Learn(s.Context(), record.Reader{Root: s.Root}))
	first := s.Made("A2", "reeds.jpg")
	if known(s, &made, first) {
		t.Fatal("known before it was learned")
	}
	s.Must(made.Learn(s.Context(), record.Reader{Root: s.Root}))
	if !known(s, &made, first) {
		t.Error("a new print is not known")
	}
	other := s.Printed("A2", "reeds.jpg")
	other.Identity = "another picture of this name"
	second := s.Publish(other)
	if second.Path != first.Path {
		t.Fatalf("meant to take the place of %s: %s", first.Path, second.Path)
	}
	s.Must(made.Learn(s.Context(), record.Reader{Root: s.Root}))
	if known(s, &made, first) || !known(s, &made, second) {
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
		"it was overwritten": func(file string, whole []byte) error {
			clear(whole[len(whole)/2:])
			return os.WriteFile(file, whole, 0o666)
		},
		"it does not begin": func(file string, whole []byte) error { clear(whole); return os.WriteFile(file, whole, 0o666) },
		"another program":   func(file string, whole []byte) error { return swapStrips(file, whole) },
		"it does not begin like a TIFF that sizewright wrote": func(file string, whole []byte) error {
			return os.WriteFile(file, bytes.Repeat([]byte{'x'}, len(whole)), 0o666)
		},
	} {
		s := studiotest.New(t)
		e := s.Made("A2", "reeds.jpg")
		file := filepath.Join(s.Root, e.Beside(e.Record.Print.File))
		whole, err := os.ReadFile(file)
		s.Must(err)
		var made record.Prints
		made.Add(e)
		if _, ok, spoilt := made.Find(s.Root, record.Key(&e.Record)); !ok || spoilt != nil {
			t.Fatalf("as it was made, it is not known: %q", spoilt)
		}
		s.Must(spoil(file, whole))
		_, ok, spoilt := made.Find(s.Root, record.Key(&e.Record))
		if ok || len(spoilt) != 1 || !strings.HasPrefix(spoilt[0], "outbox/A2/reeds.tif: ") || !strings.Contains(spoilt[0], claim) {
			t.Errorf("known %t, %q; want that %s", ok, spoilt, claim)
		}
		s.Must(os.RemoveAll(file))
		if _, ok, spoilt = made.Find(s.Root, record.Key(&e.Record)); ok || spoilt != nil {
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
	s := studiotest.New(t)
	e := s.Made("A2", "reeds.jpg")
	e.Record.Print.Bytes = 0
	s.Put(e.Path, studiotest.Encoded(t, e.Record))
	var made record.Prints
	made.Add(e)
	if !known(s, &made, e) {
		t.Error("it is not known")
	}
	s.Must(os.Truncate(filepath.Join(s.Root, "outbox/A2/reeds.tif"), 100))
	if known(s, &made, e) {
		t.Error("cut to 100 bytes, it is known")
	}
}
