package report

import (
	"context"
	"errors"
	"testing"
	"time"

	"sizewright/internal/photo"
)

func TestASmallPictureIsMadeOnceForAFileAsItIs(t *testing.T) {
	var a Album
	made := 0
	ask := func(n negative) {
		if _, err := a.get(n, func() (*thumb, error) { made++; return &thumb{}, nil }); err != nil {
			t.Fatal(err)
		}
	}
	as := negative{path: "outbox/A2/marsh.preview.jpg", size: 10, mod: time.Unix(1, 0), side: 360}
	a.begin()
	ask(as)
	a.begin()
	ask(as)
	if made != 1 {
		t.Errorf("made %d times for two pages", made)
	}
	later := as
	later.mod = time.Unix(2, 0)
	ask(later)
	if made != 2 {
		t.Error("a file made anew is shown as it was")
	}
	a.begin() // neither is asked for
	a.begin()
	if len(a.kept) != 0 {
		t.Errorf("%d pictures are kept that no page shows", len(a.kept))
	}
}

func TestWhatFailsIsTriedAgain(t *testing.T) {
	var a Album
	a.begin()
	tries := 0
	for range 2 {
		_, _ = a.get(negative{}, func() (*thumb, error) { tries++; return nil, errors.New("no") })
	}
	if tries != 2 {
		t.Errorf("tried %d times", tries)
	}
}

// TestAHeldFileThatIsNoPictureIsReadOnce, however many pages show it; a machine that had
// no memory left is asked again.
func TestAHeldFileThatIsNoPictureIsReadOnce(t *testing.T) {
	s := newStudio(t)
	for _, test := range []struct {
		name string
		err  error
		want int
	}{
		{"damaged.jpg", photo.Damaged.Say("it is cut short"), 1},
		{"unlucky.jpg", errors.New("no memory"), 2},
	} {
		n := nightOf(s.Hold("A4", test.name, []byte("no picture")))
		n.Album = &Album{}
		tries := 0
		m := Making{Root: s.Root, Look: func(context.Context, string) (*photo.Photo, error) { tries++; return nil, test.err }}
		for range 2 {
			_, err := n.Page(t.Context(), m)
			s.Must(err)
		}
		if tries != test.want {
			t.Errorf("%s is read %d times, want %d", test.name, tries, test.want)
		}
	}
}

func TestThePageIsTheSameFromAnAlbum(t *testing.T) {
	s := newStudio(t)
	n := s.night()
	plain := s.page(n)
	n.Album = &Album{}
	for range 2 {
		if s.page(n) != plain {
			t.Fatal("the page is another from an album")
		}
	}
	if len(n.Album.kept) == 0 {
		t.Error("nothing was kept")
	}
}
