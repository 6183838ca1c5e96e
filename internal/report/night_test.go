package report

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"sizewright/internal/photo"
	"sizewright/internal/record"
	"sizewright/internal/testkit/studiotest"
)

// studioDir is a studio with records, and the nights and pages made of them.
type studioDir struct{ *studiotest.Studio }

func newStudio(t testing.TB) *studioDir { return &studioDir{studiotest.New(t)} }

// nightOf is the night of the 14th of March with these records.
func nightOf(records ...record.Entry) *Night {
	return &Night{Night: record.Night{Date: "2026-03-14", Records: records}}
}

// night is one with something of everything.
func (s *studioDir) night() *Night {
	s.Helper()
	dawn, proof := s.Made("24x36in", "dawn.jpg"), s.Proofed("A3 matt", "samphire.jpg")
	proof.Record.Print.Crops = s.crops("A3 matt", "samphire", false)
	proof.Record.Ladder = s.climbed("samphire.jpg", "A4")
	return &Night{Night: record.Night{
		Date: "2026-03-14", Started: studiotest.Evening, Finished: studiotest.Morning,
		Records: []record.Entry{
			dawn,
			s.Made("A4 lustre", "reeds.jpg"),
			s.Made("A4 lustre", "creek.jpg", photo.Caution{Code: "no-profile", Text: "no profile is embedded: sRGB was assumed"}),
			s.Repeat(dawn, "dawn (copy).jpg"),
			s.TooSmall("40x60in", "heron.jpg"),
			s.Unreadable("A4 lustre", "gull.jpg"),
			proof,
		},
		Left:   []record.Left{record.LeftInFolder("24x36", 24, errors.New("drop folder \"24x36\" has no unit: say which: 24x36in or 24x36cm")), {Folder: "A2", Name: "notes.txt", Text: "no picture format known here"}},
		Faults: []record.Fault{{Folder: "A2", Name: "tide.tif", Text: "no room on the disk; make room and it will be made"}},
	}}
}

func TestEveryOrderIsCountedOnce(t *testing.T) {
	got := newStudio(t).night().Counts()
	want := record.Counts{Ready: 3, WithCautions: 1, AlreadyMade: 1, Held: 2, Faults: 1}
	if got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

// The small pictures of a night take most of the time that its page takes: a stop does not
// wait for all of them.
func TestAPageIsGivenUpInTheMaking(t *testing.T) {
	s := newStudio(t)
	n := nightOf()
	for i := range 20 {
		n.Records = append(n.Records, s.Made("A2", fmt.Sprint(i, ".jpg")))
	}
	ctx, cancel := context.WithCancel(t.Context())
	made := 0
	page, err := n.Page(ctx, Making{Root: s.Root, Workers: 1, Beat: func() { made++; cancel() }})
	if !errors.Is(err, context.Canceled) || page != nil || made != 1 {
		t.Errorf("given up after %d orders of 20: %v", made, err)
	}
}

func (s *studioDir) index(nights []record.Night) string {
	s.Helper()
	b, err := IndexHTML(s.Root, nights)
	s.Must(err)
	return string(b)
}

func TestTheIndexTellsOfNightsAndPictures(t *testing.T) {
	s := newStudio(t)
	n := s.night().Night
	earlier := record.Night{Date: "2026-03-10", Records: []record.Entry{s.Made("A3", "reeds.jpg")}}
	s.Put("outbox/morning/2026-03-14.html", nil)
	page := plain(s.index([]record.Night{n, earlier}))
	after(t, page, ">Nights<",
		`<a href="2026-03-14.html">Saturday 14 March 2026</a>`, "24 pictures were not made; four prints were made", "1 for 24x36in, 1 for A3 matt, 2 for A4 lustre",
		">Tuesday 10 March 2026<", "One print was made",
		">Pictures<", ">dawn (copy).jpg<", ">24x36in</bdi>, 14 March 2026 <small>ready, waiting to print<", ">24x36in</bdi>, 14 March 2026 <small>made before<", ">heron.jpg<", "<small>held<",
		">reeds.jpg<", ">A3</bdi>, 10 March 2026", `href="../A3/reeds.tif"`, ">A4 lustre</bdi>, 14 March 2026")
	if strings.Contains(page, "2026-03-10.html") {
		t.Error("a link to a page that is not there")
	}
	if strings.Contains(page, "<script") || strings.Contains(page, "ZgotmplZ") {
		t.Error("a script, or a value that was refused")
	}
	after(t, s.index(nil), "Nothing was made yet.")
	s.Must(os.Remove(filepath.Join(s.Root, "outbox/24x36in/dawn.preview.jpg")))
	if got := strings.Count(s.index([]record.Night{n}), `src="../`); got != 3 {
		t.Errorf("%d small pictures, want one for each of three prints whose preview is there", got)
	}
}

func TestTheIndexTellsOfTheLastNightsAlone(t *testing.T) {
	s := newStudio(t)
	var nights []record.Night
	for i := range MaxNights + 5 {
		nights = append(nights, record.Night{Date: studiotest.Evening.AddDate(0, 0, -i).Format(time.DateOnly)})
	}
	if got := strings.Count(s.index(nights), "<h3>"); got != MaxNights {
		t.Errorf("%d nights, want %d", got, MaxNights)
	}
}

// TestNamesNeverBecomeMarkupInTheIndex as in the page of a night.
func TestNamesNeverBecomeMarkupInTheIndex(t *testing.T) {
	s := newStudio(t)
	dressed := func(text string) string {
		r := record.Record{Status: record.Ready, Source: record.Source{Name: text, SHA256: text, Original: "originals/x"}, Order: record.Order{Folder: text, Size: text, Stock: text}, Print: &record.Print{File: "x.tif"}}
		return s.index([]record.Night{{Date: "2026-03-14", Records: []record.Entry{{Path: "outbox/A2/x.json", Record: r}}}, {Date: text}})
	}
	want := skeleton(dressed("marsh"))
	for _, text := range hostile {
		if got := skeleton(dressed(text)); !slices.Equal(got, want) {
			t.Errorf("%q changes the index to\n%q", text, got)
		}
	}
}
