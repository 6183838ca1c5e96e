package morning

import (
	"os"
	"path/filepath"
	"testing"
)

// known tells whether a print is known, and by its own record.
func (s *studioDir) known(m *Made, e Entry) bool {
	s.Helper()
	found, ok := m.Find(s.root, Key(&e.Record))
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
	s.must(made.Learn(s.root))
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
	r.Source.SHA256 = first.Record.Source.SHA256
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
	s.must(made.Learn(s.root))
	first := s.made("A2", "reeds.jpg")
	if s.known(&made, first) {
		t.Fatal("known before it was learned")
	}
	s.must(made.Learn(s.root))
	if !s.known(&made, first) {
		t.Error("a new print is not known")
	}
	other := s.printed("A2", "reeds.jpg")
	other.Source.SHA256 = "another picture of this name"
	second := s.publish(other)
	if second.Path != first.Path {
		t.Fatalf("meant to take the place of %s: %s", first.Path, second.Path)
	}
	s.must(made.Learn(s.root))
	if s.known(&made, first) || !s.known(&made, second) {
		t.Error("what took a record's place is not known instead of it")
	}
}
