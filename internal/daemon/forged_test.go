package daemon

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sizewright/internal/order"
	"sizewright/internal/record"
	"sizewright/internal/render"
)

// What a dropped file says was made is not taken for made, whatever it is called.
func TestADroppedRecordIsAFileLikeAnyOther(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	drop(t, s, "A6", "reeds.jpg", jpegOf(t, 600, 420))
	if _, err := Once(t.Context(), o); err != nil {
		t.Fatal(err)
	}
	genuine := must(os.ReadFile(filepath.Join(s.Outbox(), "A6", "reeds.json")))
	s, o = newStudio(t, "A6", quick)
	drop(t, s, "A6", "marsh.jpg", jpegOf(t, 610, 420))
	held := *must(record.Decode(genuine))
	held.Status, held.Print, held.Code, held.Reason = record.Held, nil, "damaged", "reeds.jpg is cut short"
	for _, name := range []string{"reeds.json", "reeds.jpg.json", "marsh.jpg.json", "reeds.tif.json", "reeds.jpg.txt.json"} {
		drop(t, s, "A6", name, genuine)
	}
	for name, original := range map[string]string{"held.json": "held/A6/held", "marsh.json": "held/A6/marsh.jpg", "more.json": "held/A6/more.json"} {
		held.Source.Original = original
		drop(t, s, "A6", name, must(held.Encode()))
	}
	result, err := Once(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := result.Night.Counts(), (record.Counts{WithCautions: 1, Held: 8}); got != want {
		t.Errorf("made and held are %+v, want %+v", got, want)
	}
	page := string(must(os.ReadFile(filepath.Join(s.MorningDir(), "latest.html"))))
	if !strings.Contains(page, ">One print was made, with cautions; eight pictures were held.<") {
		t.Errorf("the page does not say so: %.300s", page[strings.Index(page, "<h1"):])
	}
	if past := must(record.Reader{Root: s.Root()}.History(t.Context(), "reeds.jpg")); len(past) != 0 {
		t.Errorf("a picture that was not dropped has a history of %d", len(past))
	}
	// And what they say keeps nothing from being made.
	drop(t, s, "A6", "reeds.jpg", jpegOf(t, 600, 420))
	if result, err = Once(t.Context(), o); err != nil || result.Night.Counts() != (record.Counts{WithCautions: 1}) {
		t.Errorf("then a picture of that name comes to %+v, %v", result.Night.Counts(), err)
	}
}

// A print that was emptied since is made again, and its record says why. One whose preview
// was taken away is a print all the same, and one that is gone itself is made as if there
// had been none.
func TestAnOrderWhosePrintWasSpoiltIsMadeAnew(t *testing.T) {
	s, o := newStudio(t, "A6", quick)
	picture := jpegOf(t, 600, 420)
	file := func(name string) string { return filepath.Join(s.Outbox(), "A6", name) }
	again := func() (r *record.Record, caution string) {
		t.Helper()
		drop(t, s, "A6", "marsh.jpg", picture)
		result, err := Once(t.Context(), o)
		if err != nil || len(result.Night.Records) != 1 {
			t.Fatal(err, result)
		}
		r = readRecord(t, s, result.Night.Records[0].Path)
		return r, r.Cautions[0].Code
	}
	again()
	for _, step := range []struct {
		claim           string
		spoil           func() error
		made, cautioned string // the file, and the first caution
	}{
		{"whole", func() error { return nil }, "marsh.tif", "no-profile"},
		{"without its preview", func() error { return os.Remove(file("marsh.preview.jpg")) }, "marsh.tif", "no-profile"},
		{"emptied", func() error { return os.Truncate(file("marsh.tif"), 0) }, "marsh-4.tif", "made-anew"},
		{"made anew", func() error { return nil }, "marsh-4.tif", "made-anew"},
		{"with the later one cut", func() error { return os.Truncate(file("marsh-4.tif"), 5000) }, "marsh-6.tif", "made-anew"},
		{"with all taken away", func() error {
			return errors.Join(os.Remove(file("marsh.tif")), os.Remove(file("marsh-4.tif")), os.Rename(file("marsh-6.tif"), filepath.Join(s.Root(), "elsewhere.tif")))
		}, "marsh-7.tif", "no-profile"},
	} {
		if err := step.spoil(); err != nil {
			t.Fatal(err)
		}
		r, caution := again()
		if r.Print.File != step.made || caution != step.cautioned {
			t.Errorf("%s: the print is %s, with the caution %s; want %s and %s", step.claim, r.Print.File, caution, step.made, step.cautioned)
		}
	}
}

// An order that another version of the program printed is printed again, and its record
// says why; once more, and it is known.
func TestAnOrderThatAnotherRecipeMadeIsMadeAgainAndSaysSo(t *testing.T) {
	for _, version := range []int{render.RecipeVersion - 1, render.RecipeVersion + 1} {
		s, o := newStudio(t, "A6", quick)
		picture := jpegOf(t, 600, 420)
		again := func() *record.Record {
			t.Helper()
			drop(t, s, "A6", "marsh.jpg", picture)
			result, err := Once(t.Context(), o)
			if err != nil || len(result.Night.Records) != 1 {
				t.Fatal(err, result)
			}
			return readRecord(t, s, result.Night.Records[0].Path)
		}
		before := again()
		d := &order.Decision{Request: order.Request{Order: must(order.NewOrder("A6", o.Config))}}
		if d.Identity(before.Source.SHA256) != before.Identity {
			t.Fatal("an order's identity is not its print's")
		}
		before.Recipe, before.Identity = version, d.IdentityBy(version, before.Source.SHA256)
		must(0, os.WriteFile(filepath.Join(s.Outbox(), "A6", "marsh.json"), must(before.Encode()), 0o644))

		r := again()
		want := fmt.Sprintf("has changed since %s, when outbox/A6/marsh.tif was made (recipe version %d, now %d)", before.Times.Finished.Format(time.DateOnly), version, render.RecipeVersion)
		if r.RepeatOf != "" || r.Recipe != render.RecipeVersion || r.Cautions[0].Code != "recipe-changed" || !strings.Contains(r.Cautions[0].Text, want) {
			t.Errorf("after version %d: a repeat of %q by version %d, with %v", version, r.RepeatOf, r.Recipe, r.Cautions)
		}
		if version > render.RecipeVersion {
			continue // the rest is the same
		}
		if once := again(); once.RepeatOf == "" {
			t.Errorf("after version %d it is made a third time", version)
		}
	}
}
