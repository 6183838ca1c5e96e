package report

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"sizewright/internal/printsize"
	"sizewright/internal/record"
	"sizewright/internal/report/wall"
)

// wallPart is the night's pictures at one scale. The page's own layout puts them in rows;
// package wall finds the scale at which those fit, for a few widths of screen.
type wallPart struct {
	Pieces []piece
	Scales template.CSS
	RuleMM float64
	Rule   string // what the rule's length is called
	Held   bool   // some are, so that the legend says how they hang
	Look   bool
}

// piece is one picture of the wall.
type piece struct {
	ID, Label, Says string // Says is the text for those who do not see the wall
	Class           string // "held", "look" or ""
	Width, Height   float64
	Least           int // px, of its label
	Across, Down    float64
	Carries         float64 // the share of its side that a held picture would fill, 0 for all
	Thumb           *thumb
	large           *thumb // the print's larger one
}

// room is the wall's on a screen at least that wide and high, px.
type room struct {
	from, high int
	wall.Screen
}

// rooms are those the page has a scale for. Their widths are those of the page's column
// less its edges (page.css); the height leaves the first screen room for the sentence and
// the figures.
var rooms = []room{
	{0, 0, wall.Screen{Width: 282, Height: 900}},
	{390, 0, wall.Screen{Width: 348, Height: 860}},
	{600, 0, wall.Screen{Width: 538, Height: 620}},
	{768, 0, wall.Screen{Width: 688, Height: 560}},
	{1024, 0, wall.Screen{Width: 918, Height: 540}},
	{1280, 0, wall.Screen{Width: 1148, Height: 540}},
	{1280, 860, wall.Screen{Width: 1148, Height: 620}},
	{1400, 860, wall.Screen{Width: 1268, Height: 640}},
	{1400, 1000, wall.Screen{Width: 1268, Height: 720}},
}

// What page.css gives a piece, px.
const (
	pieceGap    = 12
	pieceLabel  = 15 // above and below
	letterWidth = 7
)

// newWall hangs the pictures whose size is known, the highest first and what was held last;
// nil where there is none.
func newWall(units string, entries []record.Entry, cards []card) *wallPart {
	w := &wallPart{}
	for i, e := range entries {
		if p, ok := newPiece(&e.Record, cards[i]); ok {
			w.Pieces = append(w.Pieces, p)
			w.Held = w.Held || p.Class == isHeld
			w.Look = w.Look || p.Class == "look"
		}
	}
	if len(w.Pieces) == 0 {
		return nil
	}
	slices.SortStableFunc(w.Pieces, func(a, b piece) int {
		return cmp.Or(strings.Compare(a.last(), b.last()), cmp.Compare(b.Height, a.Height), cmp.Compare(b.Width, a.Width))
	})
	prints := make([]wall.Print, len(w.Pieces))
	for i, p := range w.Pieces {
		prints[i] = wall.Print{WidthMM: p.Width, HeightMM: p.Height, LeastPX: float64(p.Least)}
	}
	var css strings.Builder
	var last, most float64
	for _, r := range rooms {
		r.Gap, r.Above, r.Below = pieceGap, pieceLabel, pieceLabel
		last = wall.Hang(prints, r.Screen).PXPerMM
		most = max(most, last)
		rule := fmt.Sprintf(".wall { --mm: %.5fpx }\n", last)
		if r.from > 0 {
			rule = fmt.Sprintf("@media (min-width: %dpx) and (min-height: %dpx) { %s}\n", r.from, r.high, rule)
		}
		css.WriteString(rule)
	}
	w.Scales = template.CSS(css.String())
	for i := range w.Pieces { // what hangs large on some screen is not to look soft
		if p := &w.Pieces[i]; p.large != nil && max(p.Width, p.Height)*most > hungSide {
			p.Thumb = p.large
		}
	}
	w.RuleMM, w.Rule = ruleOf(units, 150/last)
	return w
}

// ruleOf is a round length near to one in mm, and its name.
func ruleOf(units string, near float64) (mm float64, name string) {
	unit, word := 10.0, "cm"
	if units == Inches {
		unit, word = printsize.MMPerInch, "in"
	}
	power := 1.0
	for power*10 <= near/unit {
		power *= 10
	}
	n := power
	for _, k := range []float64{2, 5} {
		if k*power <= near/unit {
			n = k * power
		}
	}
	if word == "cm" && n >= 100 {
		return n * unit, typeset(fmt.Sprintf("%.0f m", n/100))
	}
	return n * unit, typeset(fmt.Sprintf("%.0f %s", n, word))
}

// last sorts what was held behind what was made.
func (p piece) last() string {
	if p.Class == isHeld {
		return isHeld
	}
	return ""
}

func newPiece(r *record.Record, c card) (piece, bool) {
	if r.RepeatOf != "" || c.Settled != "" {
		return piece{}, false
	}
	p := piece{ID: c.ID(), Label: r.Order.Size, Thumb: c.Hung, large: c.Figure.Thumb}
	p.Width, p.Height = sizeOf(r)
	if p.Width <= 0 || p.Height <= 0 {
		return piece{}, false
	}
	state := ": ready"
	switch {
	case r.Status == record.Held:
		p.Class, p.Label, state = isHeld, "held "+p.Label, ""
		if x := refusal(r); x != nil && x.WidthMM > 0 {
			p.Carries = min(x.WidthMM/p.Width, x.HeightMM/p.Height, 1)
			state = ", would carry " + cmp.Or(x.Size, "less")
		}
	case r.Status == record.ReadyWithCautions:
		p.Class, p.Label, state = "look", "look "+p.Label, ""
	}
	p.Says = c.Name + ", " + p.Label + state // with the words that are seen
	p.Least = int(math.Ceil(letterWidth*float64(utf8.RuneCountInString(p.Label)))) + 2
	p.Least = min(p.Least, 120)
	longer := max(p.Width, p.Height)
	p.Across, p.Down = p.Width/longer, p.Height/longer
	return p, true
}

// sizeOf is the size of a print, or of the one that was asked for, mm; 0 by 0 where
// neither is known.
func sizeOf(r *record.Record) (width, height float64) {
	switch {
	case r.Print != nil:
		return r.Print.WidthMM, r.Print.HeightMM
	case r.Plan != nil && r.Plan.Print.WidthMM > 0 && r.Plan.Print.HeightMM > 0:
		return r.Plan.Print.WidthMM, r.Plan.Print.HeightMM
	case r.Plan != nil && r.Plan.Size.WidthMM > 0:
		return r.Plan.Size.WidthMM, r.Plan.Size.HeightMM
	}
	size, _, err := printsize.Parse(r.Order.Folder)
	if err != nil {
		return 0, 0
	}
	return max(size.WidthMM, size.HeightMM), min(size.WidthMM, size.HeightMM)
}
