package order

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"sizewright/internal/config"
	"sizewright/internal/sheet"
)

// Paper 100 mm wide with margins of 3 mm at each side leaves 94 mm.
func TestAPrintTooLargeForItsPaperIsHeldWithTheLargestThatFits(t *testing.T) {
	o := asked(t, "110x165mm", func(s *config.Settings) { s.MinimumPPI, s.CautionPPI = 1, 1 })
	o.Media = []sheet.Media{{Name: "small", Kind: sheet.CutSheet, WidthMM: 100, LengthMM: 120,
		Margins: sheet.Margins{LeftMM: 3, RightMM: 3, LeadingMM: 3, TrailingMM: 15}}}
	p := NewPlan(picture(600, 400), o)
	if p.Refusal == nil || p.Refusal.Code != "too-large-for-paper" || !strings.Contains(p.Refusal.Text, "too wide") {
		t.Fatalf("refusal %+v", p.Refusal)
	}
	if r := p.Refusal; math.Abs(r.WidthMM/r.HeightMM-1.5) > 0.01 || r.HeightMM > 94 || r.WidthMM > 102 {
		t.Errorf("the largest is %v x %v mm", r.WidthMM, r.HeightMM)
	}
	o.Media = append(o.Media, sheet.RollOf("roll", 200))
	if p := NewPlan(picture(600, 400), o); p.Refusal != nil || p.Paper.Layout.Media != "roll" {
		t.Errorf("with a roll beside: %+v on %+v", p.Refusal, p.Paper.Layout.Media)
	}
}

// onRolls is an order for the first of some rolls that the print fits.
func onRolls(t *testing.T, folder string, change func(*config.Settings), widths ...float64) Order {
	o := asked(t, folder, func(s *config.Settings) {
		s.MinimumPPI, s.CautionPPI = 1, 1
		if change != nil {
			change(s)
		}
	})
	for _, w := range widths {
		o.Media = append(o.Media, sheet.RollOf(fmt.Sprintf("roll%.0f", w), w))
	}
	return o
}

func TestTheHeldSentenceNamesTheMediaThatComesNearest(t *testing.T) {
	for _, c := range []struct {
		widths []float64
		want   string
	}{
		{[]float64{432, 1118, 610}, "1.5x2m is 388.0 mm too high for the printable area of roll1118, which comes nearest of roll432, roll1118 and roll610; the largest of this shape that fits is 1483 x 1112 mm"},
		{[]float64{610}, "1.5x2m is 896.0 mm too high for the printable area of roll610; the largest of this shape that fits is 805 x 604 mm"},
	} {
		p := NewPlan(picture(800, 600), onRolls(t, "1.5x2m", nil, c.widths...))
		if p.Refusal == nil || p.Refusal.Text != c.want {
			t.Errorf("%+v, want %q", p.Refusal, c.want)
		}
	}
}

// A packed print has only the place in the cutting plan. Its estimate is what it would use
// alone.
func TestAPackedPrintIsLaidByTheCuttingPlanAlone(t *testing.T) {
	packed := func(turn bool) func(*config.Settings) {
		return func(s *config.Settings) {
			s.Pack, s.MayTurn, s.GapMM, s.PricePerMetre, s.WrapMM, s.TrimMarks = true, turn, 5, 10, 38, true
		}
	}
	for _, c := range []struct {
		folder string
		turn   bool
		length float64 // of roll: the side along it, 2 x 38 mm of wrap, 2 x 7 of marks and 2 x 3 of margins
	}{
		{"30x40cm", true, 300 + 96},
		{"30x40cm", false, 300 + 96}, // landscape, like the picture
		{"50x70cm", true, 700 + 96},
	} {
		o := onRolls(t, c.folder, packed(c.turn), 610)
		o.Media[0].Modes = map[string]sheet.Mode{"fine": {Side: sheet.Left, ExtraMM: 5}}
		o.Settings.Mode = "fine"
		p := NewPlan(picture(800, 560), o)
		if c.folder == "30x40cm" {
			p = NewPlan(picture(800, 600), o)
		}
		if p.Refusal != nil || p.Paper.Pack == nil {
			t.Fatalf("%s: %+v", c.folder, p.Refusal)
		}
		l, e := p.Paper.Layout, p.Paper.Estimate
		if math.Abs(e.RollM*1000-c.length) > 0.1 || math.Abs(e.Cost[0].Amount-c.length/100) > 0.001 {
			t.Errorf("%s alone takes %v, want %g mm of the roll", c.folder, e, c.length)
		}
		if l.Sheet.Width != p.Paper.Pack.WidthMM || l.Sheet.Height != p.Paper.Pack.HeightMM || l.Turned || l.LeadingEdge != sheet.Loose {
			t.Errorf("%s: the layout is %+v, want the piece alone", c.folder, l)
		}
		for _, n := range l.Decisions {
			if n.Code != "packed" && n.Code != "edges" {
				t.Errorf("%s: it says %s: %s", c.folder, n.Code, n.Text)
			}
		}
		for _, x := range p.Cautions {
			if x.Code == "mode" || x.Code == "moved" {
				t.Errorf("%s: it says %s", c.folder, x.Text)
			}
		}
	}
}

// The lanes of a trimmer take width that a print by itself could use.
func TestAPrintThatCannotBePackedIsHeld(t *testing.T) {
	p := NewPlan(picture(800, 600), onRolls(t, "60x80cm", func(s *config.Settings) { s.Pack, s.MayTurn, s.LaneMM = true, true, 5 }, 610))
	if p.Refusal == nil || p.Refusal.Code != "too-large-for-paper" || !strings.Contains(p.Refusal.Text, "the roll has 594 mm for prints") {
		t.Errorf("%+v", p.Refusal)
	}
}

func TestAWrapForBarsOfAnotherSizeIsSaid(t *testing.T) {
	for _, c := range []struct {
		w, h int
		wrap float64
		says bool
	}{
		{1600, 900, 38, true}, {900, 600, 38, false}, {900, 599, 38, false}, {1600, 900, 0, false}, {600, 800, 38, true},
	} {
		p := NewPlan(picture(c.w, c.h), onRolls(t, "60x90cm", func(s *config.Settings) { s.WrapMM = c.wrap }, 1118))
		said := ""
		for _, x := range p.Cautions {
			if x.Code == otherShape.Code {
				said = x.Text
			}
		}
		if (said != "") != c.says || c.w == 1600 && c.says && !strings.Contains(said, "60x90cm is printed at 900 x 506 mm") {
			t.Errorf("%d x %d with a wrap of %g mm: %q", c.w, c.h, c.wrap, said)
		}
	}
}
