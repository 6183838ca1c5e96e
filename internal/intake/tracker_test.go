package intake

import (
	"errors"
	"strings"
	"testing"
	"time"

	"sizewright/internal/photo"
)

// steady has a steady file be whole.
func steady(Candidate) (*blanks, error) { return nil, nil }

// A history is told as one look a second at one place: a letter for the state
// a file is in, "." for no file. What is offered, and taken at once, is told
// the same way: "!" for offered. Settle is three seconds.
func TestWhenAFileIsWhole(t *testing.T) {
	for _, c := range []struct{ claim, seen, offered string }{
		{"steady for three seconds", "aaaaaaa", "...!..."},
		{"not while it grows", "abcdefffff", "........!."},
		{"starts over when it changes", "aabbbbb", ".....!."},
		{"starts over when it goes and comes back", "aa.aaaaa", "......!."},
		{"going before it is whole, it was never there", "aaa...", "......"},
		{"offered once only", "aaaaaaaaaaaa", "...!........"},
		{"offered again when it changes after", "aaaabbbb", "...!...!"},
		{"offered again when it goes and comes back after", "aaaa.aaaa", "...!....!"},
		{"never by a pause that is too short", "aaabbbaaabbb", "............"},
	} {
		tr := newTracker(Options{Settle: 3 * time.Second, look: steady})
		start := time.Date(2026, 3, 14, 2, 0, 0, 0, time.UTC)
		var offered strings.Builder
		for i, state := range c.seen {
			var files []Candidate
			if state != '.' {
				files = []Candidate{{Folder: "A2", Name: "marsh.jpg", Size: int64(state)}}
			}
			ready, _ := tr.look(files, start.Add(time.Duration(i)*time.Second))
			if len(ready) == 0 {
				offered.WriteByte('.')
				continue
			}
			offered.WriteByte('!')
			tr.took(ready[0])
		}
		if offered.String() != c.offered {
			t.Errorf("%s:\nseen    %s\noffered %s\nwant    %s", c.claim, c.seen, offered.String(), c.offered)
		}
	}
}

func TestAnyChangeStartsTheWaitAnew(t *testing.T) {
	start := time.Date(2026, 3, 14, 2, 0, 0, 0, time.UTC)
	was := Candidate{Folder: "A2", Name: "marsh.jpg", Size: 10, ModTime: start, inode: 1}
	for what, is := range map[string]Candidate{
		"size":              {Folder: "A2", Name: "marsh.jpg", Size: 11, ModTime: start, inode: 1},
		"modification time": {Folder: "A2", Name: "marsh.jpg", Size: 10, ModTime: start.Add(1), inode: 1},
		"another file":      {Folder: "A2", Name: "marsh.jpg", Size: 10, ModTime: start, inode: 2},
	} {
		tr := newTracker(Options{Settle: time.Second, look: steady})
		tr.look([]Candidate{was}, start)
		ready, next := tr.look([]Candidate{is}, start.Add(time.Second))
		if len(ready) != 0 || !next.Equal(start.Add(2*time.Second)) {
			t.Errorf("%s: ready %v, next look %v", what, ready, next)
		}
	}
}

// A file server may keep the modification time a client has set, whatever is
// written after. Only the time of change tells then; once the file is taken it
// would tell of a change of rights as well.
func TestTheTimeOfChangeCountsUntilAFileIsTaken(t *testing.T) {
	start := time.Date(2026, 3, 14, 2, 0, 0, 0, time.UTC)
	seen := func(changed int) []Candidate {
		return []Candidate{{Folder: "A2", Name: "marsh.jpg", Size: 10, ModTime: start, changed: start.Add(time.Duration(changed))}}
	}
	tr := newTracker(Options{Settle: time.Second, look: steady})
	tr.look(seen(0), start)
	if ready, _ := tr.look(seen(1), start.Add(time.Second)); len(ready) != 0 {
		t.Error("offered while it changes")
	}
	ready, _ := tr.look(seen(1), start.Add(2*time.Second))
	if len(ready) != 1 {
		t.Fatal("not offered")
	}
	tr.took(ready[0])
	for i := range 5 {
		if ready, _ := tr.look(seen(2), start.Add(time.Duration(3+i)*time.Second)); len(ready) != 0 {
			t.Error("offered again for its rights")
		}
	}
}

// Of thousands of halves that lie there for days, each is opened a few times.
func TestAHalfIsAskedForMoreAndMoreSeldom(t *testing.T) {
	for _, tt := range []struct {
		why  error
		most int // in ten hours
	}{{&photo.Unended{}, 40}, {errOpen, 620}} {
		asked := 0
		tr := newTracker(Options{Settle: time.Second, Rescan: time.Minute, StalledAfter: 30 * time.Minute,
			look: func(Candidate) (*blanks, error) { asked++; return nil, tt.why }})
		start := time.Date(2026, 3, 14, 2, 0, 0, 0, time.UTC)
		files := []Candidate{{Folder: "A2", Name: "marsh.jpg"}}
		for i := range 36_000 {
			tr.look(files, start.Add(time.Duration(i)*time.Second))
		}
		if asked > tt.most || asked < tt.most/2 {
			t.Errorf("%v: asked %d times, want about %d", tt.why, asked, tt.most)
		}
	}
}

func TestWhatIsNotTakenIsOfferedAgain(t *testing.T) {
	tr := newTracker(Options{Settle: time.Second, look: steady})
	start := time.Date(2026, 3, 14, 2, 0, 0, 0, time.UTC)
	files := []Candidate{{Folder: "A2", Name: "marsh.jpg"}}
	tr.look(files, start)
	for i := range 3 {
		if ready, _ := tr.look(files, start.Add(time.Duration(i+1)*time.Second)); len(ready) != 1 {
			t.Errorf("look %d offers %v", i, ready)
		}
	}
}

func TestAFileThatIsSteadyButNotWholeWaitsItsTimeAgain(t *testing.T) {
	asked, answer := 0, errors.New("something is missing")
	tr := newTracker(Options{Settle: 2 * time.Second, look: func(Candidate) (*blanks, error) { asked++; return nil, answer }})
	start := time.Date(2026, 3, 14, 2, 0, 0, 0, time.UTC)
	files := []Candidate{{Folder: "A2", Name: "marsh.jpg"}}
	for i := range 6 { // asked at 2 and 4 seconds
		if ready, _ := tr.look(files, start.Add(time.Duration(i)*time.Second)); len(ready) != 0 {
			t.Fatalf("offered at %d seconds", i)
		}
	}
	if asked != 2 {
		t.Errorf("asked %d times, want 2", asked)
	}
	answer = nil
	if ready, _ := tr.look(files, start.Add(6*time.Second)); len(ready) != 1 {
		t.Error("not offered once whole")
	}
}
