package packing

import (
	"math"
	"testing"
	"time"

	"sizewright/internal/order"
	"sizewright/internal/record"
	"sizewright/internal/sheet"
	"sizewright/internal/sheet/roll"
)

// print is the record of one: a piece of 100 x 150 mm for a roll, or with none a print on
// a sheet of its own.
func print(media string, onto *roll.Roll) record.Entry {
	p := &order.Paper{Layout: sheet.Layout{Media: media}, Estimate: sheet.Estimate{Prints: 1, Sheets: 1, PaperM2: 0.03}}
	if onto != nil {
		p.Pack = &order.Pack{Roll: *onto, WidthMM: 100, HeightMM: 150, MayTurn: true}
	}
	return record.Entry{Record: record.Record{
		Status: record.Ready, Order: record.Order{Folder: "10x15cm"}, Print: &record.Print{File: "reeds.tif"}, Plan: &order.Plan{Paper: p},
	}}
}

func TestPrintsForOneRollArePackedTogether(t *testing.T) {
	wide, narrow := &roll.Roll{WidthMM: 330}, &roll.Roll{WidthMM: 110}
	held, repeat, unlaid := print("matt", wide), print("matt", wide), print("matt", nil)
	held.Record.Status, held.Record.Print = record.Held, nil
	repeat.Record.RepeatOf = "outbox/10x15cm/first.json"
	unlaid.Record.Plan.Paper = nil
	got := Of([]record.Entry{print("matt", wide), print("canvas", narrow), print("A5", nil), held, repeat, unlaid, print("matt", wide)})
	if len(got.Packings) != 2 || got.Packings[0].Media != "canvas" || got.Packings[1].Media != "matt" {
		t.Fatalf("packed are %+v, want one of canvas and one of matt", got.Packings)
	}
	for i, want := range []int{1, 2} {
		if n := got.Packings[i].Estimate.Prints; n != want {
			t.Errorf("%s takes %d prints, want %d", got.Packings[i].Media, n, want)
		}
	}
	if e := got.Estimate; e.Prints != 4 || e.Sheets != 1 || e.RollM <= 0 {
		t.Errorf("in all %+v, want four prints, one of them on a sheet, and some roll", e)
	}
}

func TestEachCopyIsAPieceOnTheRoll(t *testing.T) {
	three := print("matt", &roll.Roll{WidthMM: 330})
	three.Record.Plan.Asked = &order.PlanAsked{Copies: 3}
	got := Of([]record.Entry{three, print("matt", &roll.Roll{WidthMM: 330})})
	pieces := 0
	for _, run := range got.Packings[0].Plan.Runs {
		pieces += len(run.Pieces)
	}
	if pieces != 4 || got.Estimate.Prints != 4 {
		t.Errorf("%d pieces and %d prints, want 4 of both", pieces, got.Estimate.Prints)
	}
}

// What is on paper stays where it lies, and what comes later lies on a run of its own.
func TestARunThatIsOnPaperStaysAsItIs(t *testing.T) {
	onto := &roll.Roll{WidthMM: 330, GapMM: 3}
	piece := func(name string) record.Entry {
		e := print("matt", onto)
		e.Record.Plan.Print.PPI, e.Record.Plan.Paper.Pack.File, e.Record.Print.File = 100, true, name
		return e
	}
	night := []record.Entry{piece("a.tif"), piece("b.tif"), piece("c.tif")}
	first := Of(night).Packings[0]
	for i := range night {
		for _, at := range first.Plan.Runs[0].Pieces {
			if at.ID == ID(night[i], record.Numbered{File: night[i].Record.Print.File}) {
				px := func(mm float64) int { return int(mm*100/25.4 + 0.5) }
				night[i].Record.Packed = []record.Packed{{File: "outbox/morning/2026-03-14.matt.1.tif",
					Place: sheet.PixelRect{X: px(at.X), Y: px(at.Y), Width: px(at.Width), Height: px(at.Height)}, Turned: at.Turned}}
			}
		}
	}
	night = append(night, piece("d.tif"))
	if again := Of(night).Packings[0]; len(again.Plan.Runs) != 1 || again.Printed != 0 {
		t.Fatalf("before anything is printed there are %d runs", len(again.Plan.Runs))
	}
	if moved := Of(night, "2026-03-14.matt.1.tif").Packings[0]; moved.Printed != 1 {
		t.Error("a run that lies in printed/ is packed anew")
	}
	night[1].Record.Marks = []record.Mark{{At: time.Unix(1, 0)}}
	got := Of(night).Packings[0]
	if len(got.Plan.Runs) != 2 || got.Printed != 1 || len(got.Files) != 1 || got.Files[0] != "2026-03-14.matt.1.tif" {
		t.Fatalf("printed are %d of %d runs, of files %v", got.Printed, len(got.Plan.Runs), got.Files)
	}
	was, is := first.Plan.Runs[0], got.Plan.Runs[0]
	if len(is.Pieces) != 3 || len(is.Cuts) != len(was.Cuts) || math.Abs(is.LengthMM-was.LengthMM) > 0.3 {
		t.Errorf("the printed run is %+v, was %+v", is, was)
	}
	if late := got.Plan.Runs[1].Pieces; len(late) != 1 || late[0].ID != "10x15cm/d.tif" || got.Estimate.Prints != 4 {
		t.Errorf("the second run has %+v, in all %d prints", late, got.Estimate.Prints)
	}
}

// The copies of a numbered print are files of their own: each lies on the roll once.
func TestEachNumberOfAnEditionIsAPieceOfItsOwn(t *testing.T) {
	numbered := print("matt", &roll.Roll{WidthMM: 330})
	numbered.Record.Plan.Asked = &order.PlanAsked{Copies: 2}
	numbered.Record.Print.File = "reeds.4of9.tif"
	numbered.Record.Print.Edition = &record.Edition{Of: 9, Prints: []record.Numbered{{Number: 4, File: "reeds.4of9.tif"}, {Number: 5, File: "reeds.5of9.tif"}}}
	got := map[string]int{}
	for _, run := range Of([]record.Entry{numbered}).Packings[0].Plan.Runs {
		for _, p := range run.Pieces {
			got[p.ID]++
		}
	}
	if len(got) != 2 || got["10x15cm/reeds.4of9.tif"] != 1 || got["10x15cm/reeds.5of9.tif"] != 1 {
		t.Errorf("the pieces are %v", got)
	}
}

func TestWithoutKnownPaperThereIsNothingToTell(t *testing.T) {
	unlaid := print("matt", nil)
	unlaid.Record.Plan.Paper = nil
	if got := Of([]record.Entry{unlaid}); got != nil {
		t.Errorf("told is %+v", got)
	}
}
