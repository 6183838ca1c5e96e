package report

import (
	"errors"
	"testing"
	"time"
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
