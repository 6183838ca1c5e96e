package studio

import (
	"os"
	"strings"
	"testing"
	"time"
)

func recovered(t *testing.T, s *Studio) []Recovered {
	t.Helper()
	r, err := s.Recover()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestAPhotographInHandAtTheStopIsBackAtTheStart(t *testing.T) {
	s := laidOut(t, t.TempDir())
	for _, name := range hostileNames {
		c := dropped(t, s, "A2", name, "a marsh")
		if err := os.WriteFile(c.MadePath("print"), []byte("half a pri"), 0o666); err != nil {
			t.Fatal(err)
		}
		r := recovered(t, s)
		if len(r) != 1 || r[0].Kind != Returned || r[0].Name != name || r[0].Folder != "A2" || r[0].Untidy != nil {
			t.Errorf("%q: %+v", name, r)
		}
		wantPlaces(t, s, "a marsh", "drop/A2/"+name)
		if left := claimsLeft(t, s); len(left) != 0 {
			t.Fatalf("%q: claims left: %v", name, left)
		}
		os.Remove(s.abs("drop/A2/" + name))
	}
}

func TestRecoveringWithNothingLeftBehindReportsNothing(t *testing.T) {
	s := laidOut(t, t.TempDir())
	if r := recovered(t, s); len(r) != 0 {
		t.Errorf("%+v", r)
	}
}

func TestWhatIsNotUnderstoodIsLeftAloneAndReported(t *testing.T) {
	for what, lay := range map[string]map[string]string{
		"a picture without an order":   {"1/original/marsh.jpg": "a marsh"},
		"an order that is no JSON":     {"1/order.json": "{", "1/original/marsh.jpg": "a marsh"},
		"an order for another place":   {"1/order.json": `{"folder":"../..","name":"marsh.jpg"}`, "1/original/marsh.jpg": "a marsh"},
		"a journal that is no JSON":    {"1/publish.json": "", "1/order.json": `{"folder":"A2","name":"marsh.jpg"}`, "1/original/marsh.jpg": "a marsh"},
		"a journal of another kind":    {"1/publish.json": `{"kind":"burn","folder":"A2","name":"marsh.jpg","moves":[{"from":"original/marsh.jpg","to":"originals/A2/marsh.jpg"}]}`, "1/original/marsh.jpg": "a marsh"},
		"a journal to another place":   {"1/publish.json": `{"kind":"publish","folder":"A2","name":"marsh.jpg","moves":[{"from":"original/marsh.jpg","to":"originals/../marsh.jpg"}]}`, "1/original/marsh.jpg": "a marsh"},
		"a journal from another place": {"1/publish.json": `{"kind":"publish","folder":"A2","name":"marsh.jpg","moves":[{"from":"original/../order.json","to":"originals/A2/marsh.jpg"}]}`, "1/original/marsh.jpg": "a marsh"},
		"a journal without moves":      {"1/publish.json": `{"kind":"publish","folder":"A2","name":"marsh.jpg","moves":[]}`, "1/original/marsh.jpg": "a marsh"},
		"a file among the claims":      {"notes.txt": "a marsh"},
	} {
		s := laidOut(t, t.TempDir())
		for rel, content := range lay {
			put(t, s, claimsDir+"/"+rel, content)
		}
		before := files(t, s.abs(claimsDir))
		r := recovered(t, s)
		if len(r) != 1 || r[0].Kind != Left || !strings.Contains(r[0].Text, "left alone") {
			t.Errorf("%s: %+v", what, r)
		}
		after := files(t, s.abs(claimsDir))
		for rel := range before {
			if after[rel] != before[rel] {
				t.Errorf("%s: %s is gone", what, rel)
			}
		}
		if len(places(t, s, "a marsh")) != 1 {
			t.Errorf("%s: the picture is at %v", what, places(t, s, "a marsh"))
		}
	}
}

func TestOneClaimsTroubleIsNotTheOthers(t *testing.T) {
	s := laidOut(t, t.TempDir())
	dropped(t, s, "A3 lustre", "first.jpg", "first")
	dropped(t, s, "A2", "second.jpg", "second")
	if err := os.Remove(s.abs("drop/A3 lustre")); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(s.abs("drop/A3 lustre"), nil, 0o666); err != nil {
		t.Fatal(err)
	}
	r, err := s.Recover()
	if err == nil || len(r) != 1 || r[0].Name != "second.jpg" {
		t.Errorf("%+v, %v", r, err)
	}
	wantPlaces(t, s, "second", "drop/A2/second.jpg")
	if at := places(t, s, "first"); len(at) != 1 || !strings.HasPrefix(at[0], claimsDir) {
		t.Errorf("first is at %v", at)
	}
	os.Remove(s.abs("drop/A3 lustre"))
	recovered(t, s)
	wantPlaces(t, s, "first", "drop/A3 lustre/first.jpg")
}

func TestAForeignFileInAClaimOutlivesIt(t *testing.T) {
	s := laidOut(t, t.TempDir())
	c := dropped(t, s, "A2", "marsh.jpg", "a marsh")
	put(t, s, c.rel("mine.txt"), "mine")
	put(t, s, c.rel(originalPart, "mine.jpg"), "mine too")
	r := recovered(t, s)
	if len(r) != 1 || r[0].Kind != Returned || r[0].Untidy == nil {
		t.Errorf("%+v", r)
	}
	wantPlaces(t, s, "a marsh", "drop/A2/marsh.jpg")
	for range 2 {
		wantPlaces(t, s, "mine", c.rel("mine.txt"))
		wantPlaces(t, s, "mine too", c.rel(originalPart, "mine.jpg"))
		recovered(t, s)
	}
}

func TestPagesNeverFinishedAreRemovedOnceTheyAreOld(t *testing.T) {
	s := laidOut(t, t.TempDir())
	put(t, s, tempDir+"/new", "being written by another command")
	put(t, s, tempDir+"/old", "abandoned")
	old := time.Now().Add(-2 * staleTemp)
	if err := os.Chtimes(s.abs(tempDir+"/old"), old, old); err != nil {
		t.Fatal(err)
	}
	recovered(t, s)
	wantPlaces(t, s, "abandoned")
	wantPlaces(t, s, "being written by another command", tempDir+"/new")
}
