package report

import (
	"strings"
	"testing"

	"sizewright/internal/photo"
	"sizewright/internal/record"
	"sizewright/internal/sheet"
)

func TestWhatNeedsYouSaysTheOneThingToDo(t *testing.T) {
	held := func(name, code, reason, remedy string) record.Record {
		return record.Record{Status: record.Held, Source: record.Source{Name: name}, Code: code, Reason: reason, Remedy: remedy}
	}
	for _, test := range []struct {
		r            record.Record
		reason, todo string
	}{
		{held("a; b.jpg", "damaged", "a; b.jpg is cut short", "copy it again from the card"), "a; b.jpg is cut short.", "Copy it again from the card."},
		{held("a.jpg", "too-few-pixels", "a.jpg: too few pixels for A2; it would carry A4", "drop it into A4, or find a file with more pixels"),
			"Too few pixels for A2; it would carry A4.", "Drop it into A4, or find a file with more pixels."},
		// Records from before remedies were kept.
		{held("a.jpg", "damaged", "a.jpg is cut short; copy it again from the card", ""), "a.jpg is cut short; copy it again from the card.", "Copy it again from the card or export it again."},
		{held("a.jpg", "too-few-pixels", "too few", ""), "Too few.", "Find a file with more pixels."},
		{held("a.jpg", "of another day", "a.jpg was held", ""), "a.jpg was held.", "Look at the file, and drop it again."},
		{record.Record{Status: record.ReadyWithCautions, Cautions: []photo.Caution{{Code: "out-of-gamut"}, {Code: "no-profile"}}}, "", "Look at the map of what the paper misses. Where it matters, drop it for another paper."},
		{record.Record{Status: record.ReadyWithCautions, Cautions: []photo.Caution{{Code: "of another day"}}}, "", "Look at the preview before it goes on paper."},
		{record.Record{Status: record.Ready}, "", ""},
	} {
		if reason, todo := advice(&test.r); reason != test.reason || todo != test.todo {
			t.Errorf("%s %s:\ngot  %q, %q\nwant %q, %q", test.r.Code, test.r.Status, reason, todo, test.reason, test.todo)
		}
	}
}

func TestEveryOrderThatNeedsSomebodySaysWhatToDo(t *testing.T) {
	s := newStudio(t)
	page := s.page(s.night())
	if got := strings.Count(page, `class="todo"`); got != 3 {
		t.Errorf("%d things to do, want one for each of the two held and the one with a caution", got)
	}
}

func TestTheSentenceTellsThePaper(t *testing.T) {
	for _, test := range []struct {
		e    sheet.Estimate
		of   int
		want string
	}{
		{sheet.Estimate{}, 4, ""},
		{sheet.Estimate{Prints: 4, PaperM2: 0.914, RollM: 1.487, Sheets: 3}, 4, "; they take 1.49 m of roll and three sheets (0.91 m² of paper)"},
		{sheet.Estimate{Prints: 1, PaperM2: 0.125, Sheets: 1}, 4, "; one of them takes one sheet (0.12 m² of paper)"},
		{sheet.Estimate{Prints: 2, PaperM2: 0.25}, 2, "; they take 0.25 m² of paper"},
		{sheet.Estimate{Prints: 2, PaperM2: 0.25}, 3, "; two of them take 0.25 m² of paper"},
		{sheet.Estimate{Prints: 1, PaperM2: 0.25}, 1, "; it takes 0.25 m² of paper"},
	} {
		if got := plain(takes(test.e, test.of)); got != test.want {
			t.Errorf("got %q, want %q", got, test.want)
		}
	}
}
