package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"sizewright/configs"
	"sizewright/internal/daemon"
	"sizewright/internal/studio"
	"sizewright/internal/testkit/reference"
)

// statusOf returns the status of a studio as a value and as text, and checks its JSON
// against the schema.
func statusOf(t *testing.T, s *studio.Studio) (*status, string) {
	t.Helper()
	st, err := readStatus(s, time.Now())
	if err != nil {
		t.Fatal(err)
	}
	var asJSON, text bytes.Buffer
	if err := st.json(&asJSON); err != nil {
		t.Fatal(err)
	}
	value, err := jsonschema.UnmarshalJSON(&asJSON)
	if err != nil {
		t.Fatal(err)
	}
	if err := reference.Schema(t, configs.StatusSchema).Validate(value); err != nil {
		t.Errorf("it does not follow its schema: %v", err)
	}
	st.tell(&text)
	return st, text.String()
}

func studioWith(t *testing.T, folders ...string) *studio.Studio {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "studio")
	if err := studio.Init(dir, configs.SizewrightTOML, folders); err != nil {
		t.Fatal(err)
	}
	s, err := studio.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func dropText(t *testing.T, s *studio.Studio, folder, name string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(s.Drop(), folder, name), []byte(name), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestWhatWasLeftBehindSaysWhatBecomesOfIt(t *testing.T) {
	s := studioWith(t, "A6")
	dropText(t, s, "A6", "marsh.jpg")
	leave, err := s.Lock()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Claim("A6", "marsh.jpg"); err != nil {
		t.Fatal(err)
	}
	leave()
	st, text := statusOf(t, s)
	if len(st.InHand) != 1 || st.InHand[0].Stage != leftBehind || !strings.Contains(text, "goes back to its drop folder at the next start") {
		t.Errorf("it says %+v:\n%s", st.InHand, text)
	}
}

// The files are looked at, whether or not a daemon runs, which itself speaks of a copy only
// after half an hour: one that broke off does not wait for anything, and one under way does.
func TestACopyThatBrokeOffIsNotMade(t *testing.T) {
	s := studioWith(t, "A6", "A9x")
	jpg := []byte("\xff\xd8\xff\xe0\x00\x10JFIF\x00 and no end")
	for _, name := range []string{"A6/half.jpg", "A6/coming.jpg", "A9x/astray.jpg"} {
		if err := os.WriteFile(filepath.Join(s.Drop(), name), jpg, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	since := time.Date(2026, 3, 14, 22, 14, 0, 0, time.Local)
	if err := os.Chtimes(filepath.Join(s.Drop(), "A6/half.jpg"), since, since); err != nil {
		t.Fatal(err)
	}
	coming, err := os.OpenFile(filepath.Join(s.Drop(), "A6/coming.jpg"), os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer coming.Close()
	for _, runs := range []bool{false, true} {
		if runs {
			leave, err := s.Lock()
			if err != nil {
				t.Fatal(err)
			}
			defer leave()
			if err := s.Tell(daemon.Status{}); err != nil {
				t.Fatal(err)
			}
		}
		st, text := statusOf(t, s)
		if len(st.Daemons) > 0 != runs || len(st.Waiting) != 1 || st.Waiting[0].Name != "coming.jpg" || len(st.Left) != 2 {
			t.Errorf("daemons: %+v; waiting: %+v; left: %+v", st.Daemons, st.Waiting, st.Left)
		}
		for _, line := range []string{
			"Not made: 2\n",
			"  drop/A6/half.jpg: unfinished, and unchanged since 2026-03-14 22:14: its end is missing: only 22 bytes are there; copy it again, or move it out of the drop folder\n",
		} {
			if !strings.Contains(text, line) {
				t.Errorf("a daemon runs: %v; it does not say %q:\n%s", runs, line, text)
			}
		}
	}
}

// What daemons say about a file is shown for that file, whatever bytes are in its name.
func TestWhatIsNotMadeSaysWhy(t *testing.T) {
	s := studioWith(t, "A6", "A9x")
	for _, name := range []string{"full\xff.jpg", "half.jpg", "next.jpg"} {
		dropText(t, s, "A6", name)
	}
	dropText(t, s, "A9x", "astray.jpg")
	leave, err := s.Lock()
	if err != nil {
		t.Fatal(err)
	}
	defer leave()
	if err := s.Tell(daemon.Status{Stays: []daemon.Stay{
		{Folder: "A6", Name: "full\xff.jpg", Text: "waits for room", Waits: true},
		{Folder: "A6", Name: "half.jpg", Text: "unfinished"},
		{Folder: "A6", Name: "taken away.jpg", Text: "waits for room", Waits: true},
	}}); err != nil {
		t.Fatal(err)
	}
	st, text := statusOf(t, s)
	waiting, left := map[string]string{}, map[string]string{}
	for _, f := range st.Waiting {
		waiting[f.Name] = f.Text
	}
	for _, f := range st.Left {
		left[f.Folder+"/"+f.Name] = f.Text
	}
	if len(waiting) != 2 || waiting["full\xff.jpg"] != "waits for room" || waiting["next.jpg"] != "" {
		t.Errorf("waiting are %q", waiting)
	}
	if len(left) != 2 || left["A6/half.jpg"] != "unfinished" || !strings.Contains(left["A9x/"], "A9x") {
		t.Errorf("left alone are %q", left)
	}
	if !strings.Contains(text, ".jpg: waits for room\n") || !strings.Contains(text, "  unfinished\n") {
		t.Errorf("it says\n%s", text)
	}
}

// A claim that an earlier daemon left, and that could not be put back, is not in hand.
func TestWhatAnEarlierDaemonLeftIsNotInHand(t *testing.T) {
	s := studioWith(t, "A6")
	for _, name := range []string{"marsh.jpg", "dune.jpg"} {
		leave, err := s.Lock()
		if err != nil {
			t.Fatal(err)
		}
		defer leave()
		dropText(t, s, "A6", name)
		if _, err := s.Claim("A6", name); err != nil {
			t.Fatal(err)
		}
		if name == "marsh.jpg" {
			leave()
		}
	}
	st, _ := statusOf(t, s)
	stages := map[string]string{}
	for _, o := range st.InHand {
		stages[o.Name] = o.Stage
	}
	if stages["marsh.jpg"] != leftBehind || stages["dune.jpg"] != "taken" || len(st.Daemons) != 1 {
		t.Errorf("in hand are %q, at work %+v", stages, st.Daemons)
	}
}

func TestTheStatusSaysThatEarlierNightsAreTold(t *testing.T) {
	s := studioWith(t, "A6")
	leave, err := s.Lock()
	if err != nil {
		t.Fatal(err)
	}
	defer leave()
	if err := s.Tell(daemon.Status{Backfill: &daemon.Backfill{Night: "2026-03-11", Before: 3}}); err != nil {
		t.Fatal(err)
	}
	if _, text := statusOf(t, s); !strings.Contains(text, "; writing the pages of earlier nights: 3 so far, now that of 2026-03-11\n") {
		t.Errorf("it says %q", text)
	}
}

// Two photographs with the same name may be in hand; each claim has its own stage.
func TestOrdersOfOneNameHaveTheirOwnStages(t *testing.T) {
	s := studioWith(t, "A6")
	leave, err := s.Lock()
	if err != nil {
		t.Fatal(err)
	}
	defer leave()
	var doing daemon.Status
	for _, stage := range []string{"printing", "reading"} {
		dropText(t, s, "A6", "marsh.jpg")
		c, err := s.Claim("A6", "marsh.jpg")
		if err != nil {
			t.Fatal(err)
		}
		doing.Orders = append(doing.Orders, daemon.InHand{ID: c.ID, Folder: "A6", Name: "marsh.jpg", Stage: stage})
	}
	if err := s.Tell(doing); err != nil {
		t.Fatal(err)
	}
	st, _ := statusOf(t, s)
	stages := map[string]int{}
	for _, o := range st.InHand {
		stages[o.Stage]++
	}
	if len(st.InHand) != 2 || stages["printing"] != 1 || stages["reading"] != 1 {
		t.Errorf("in hand are %+v", st.InHand)
	}
}
