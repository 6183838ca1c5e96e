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
	Hung   []hung
	Scales template.CSS
	RuleMM float64
	Rule   string // what the rule's length is called
	Held   bool   // some are, so that the legend says how they hang
	Look   bool
	Fans   bool
}

// hung is a piece, or several held at one size: those lie fanned out.
type hung struct {
	Pieces []piece
	Label  string // of a fan
	Least  int    // px, of the label
	Step   float64
}

// Fan tells whether it is one.
func (h *hung) Fan() bool { return len(h.Pieces) > 1 }

// piece is one picture of the wall.
type piece struct {
	Size            string // asked for
	ID, Label, Says string // Says is the text for those who do not see the wall
	Class           string // "held", "look" or ""
	Width, Height   float64
	Across, Down    float64
	Carries         float64 // the share of its side that a held picture would fill
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
	{0, 0, wall.Screen{Width: 282, Height: 1250}},
	{390, 0, wall.Screen{Width: 348, Height: 1250}},
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
	pieceAbove  = 6
	pieceLabel  = 15 // below
	letterWidth = 7.5
)

// many pieces hang so close that each size is said once.
const many = 60

// newWall hangs the pictures whose size is known, the largest first; then what was held, the
// largest last, so that small hangs beside small. It is nil where there is none.
func newWall(units string, entries []record.Entry, cards []card) *wallPart {
	var pieces []piece
	for i, e := range entries {
		if p, ok := newPiece(&e.Record, cards[i]); ok {
			pieces = append(pieces, p)
		}
	}
	if len(pieces) == 0 {
		return nil
	}
	inWallOrder(pieces)
	w := &wallPart{Hung: fanned(pieces)}
	if len(pieces) > many {
		w.sayOnce()
	}
	for _, h := range w.Hung {
		class := h.Pieces[0].Class
		w.Held, w.Look, w.Fans = w.Held || class == isHeld, w.Look || class == "look", w.Fans || h.Fan()
	}
	prints := w.prints()
	var css strings.Builder
	var last, most float64
	for _, r := range rooms {
		r.Gap, r.Above, r.Below = pieceGap, pieceAbove, pieceLabel
		last = wall.Hang(prints, r.Screen).PXPerMM
		most = max(most, last)
		rule := fmt.Sprintf(".wall { --mm: %.5fpx }\n", last)
		if r.from > 0 {
			rule = fmt.Sprintf("@media (min-width: %dpx) and (min-height: %dpx) { %s}\n", r.from, r.high, rule)
		}
		css.WriteString(rule)
	}
	w.Scales = template.CSS(css.String())
	for _, h := range w.Hung { // what hangs large on some screen is not to look soft
		if p := &h.Pieces[0]; p.Class != isHeld && p.large != nil && max(p.Width, p.Height)*most > hungSide {
			p.Thumb = p.large
		}
	}
	w.RuleMM, w.Rule = ruleOf(units, 150/last)
	return w
}

// prints are what is hung, for package wall.
func (w *wallPart) prints() []wall.Print {
	prints := make([]wall.Print, len(w.Hung))
	for i, h := range w.Hung {
		p := h.Pieces[0]
		prints[i] = wall.Print{WidthMM: p.Width, HeightMM: p.Height, LeastPX: float64(h.Least), More: len(h.Pieces) - 1, StepMM: h.Step}
	}
	return prints
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

// inWallOrder sorts by the size asked for, the one with the largest piece first, and of
// what was held last.
func inWallOrder(pieces []piece) {
	largest := map[[2]string]float64{}
	for _, p := range pieces {
		largest[p.group()] = max(largest[p.group()], p.Width*p.Height)
	}
	slices.SortStableFunc(pieces, func(a, b piece) int {
		if held := a.Class == isHeld; held != (b.Class == isHeld) {
			return map[bool]int{true: 1, false: -1}[held]
		} else if held {
			a, b = b, a
		}
		return cmp.Or(cmp.Compare(largest[b.group()], largest[a.group()]), strings.Compare(a.Size, b.Size), strings.Compare(a.Class, b.Class),
			cmp.Compare(b.Height, a.Height), cmp.Compare(b.Width, a.Width))
	})
}

// group is what pieces hang together for: their size, held or not.
func (p piece) group() [2]string {
	if p.Class == isHeld {
		return [2]string{p.Size, isHeld}
	}
	return [2]string{p.Size}
}

// fanned puts those together that were held at one and the same size and would carry much
// less of it.
func fanned(pieces []piece) (all []hung) {
	const most = 0.85 // of the width
	for _, p := range pieces {
		if k := len(all) - 1; k >= 0 && p.Class == isHeld && p.Carries < most {
			first := all[k].Pieces[0]
			if first.Label == p.Label && first.Width == p.Width && first.Height == p.Height && first.Carries < most {
				all[k].Pieces = append(all[k].Pieces, p)
				all[k].Step = max(all[k].Step, p.Carries*p.Width)
				continue
			}
		}
		all = append(all, hung{Pieces: []piece{p}, Least: labelWidth(p.Label), Step: p.Carries * p.Width})
	}
	for i := range all {
		if h := &all[i]; h.Fan() {
			h.Label = fmt.Sprintf("%s\u00a0\u00d7\u00a0%d", h.Pieces[0].Label, len(h.Pieces))
			h.Least = labelWidth(h.Label)
		}
	}
	return all
}

// sayOnce leaves out labels that repeat the one before, and says there how many there are.
func (w *wallPart) sayOnce() {
	for i := 0; i < len(w.Hung); {
		first, n := &w.Hung[i], 1
		label := first.Pieces[0].Label
		for ; i+n < len(w.Hung) && !first.Fan() && !w.Hung[i+n].Fan() && w.Hung[i+n].Pieces[0].Label == label; n++ {
			p := &w.Hung[i+n].Pieces[0]
			p.Label = p.Class // the state alone
			w.Hung[i+n].Least = labelWidth(p.Label)
		}
		if n > 1 {
			p := &first.Pieces[0]
			p.Label = fmt.Sprintf("%s\u00a0\u00d7\u00a0%d", label, n)
			p.Says = strings.Replace(p.Says, ", "+label, ", "+p.Label, 1) // with the words that are seen
			first.Least = labelWidth(p.Label)
		}
		i += n
	}
}

// labelWidth is about what a label takes, px.
func labelWidth(label string) int {
	return min(int(math.Ceil(letterWidth*float64(utf8.RuneCountInString(label))))+2, 120)
}

func newPiece(r *record.Record, c card) (piece, bool) {
	if r.RepeatOf != "" || c.Settled != "" {
		return piece{}, false
	}
	p := piece{ID: c.ID(), Size: r.Order.Size, Label: r.Order.Size, Thumb: c.Hung, large: c.Figure.Thumb}
	p.Width, p.Height = sizeOf(r)
	if p.Width <= 0 || p.Height <= 0 {
		return piece{}, false
	}
	state := ": ready"
	switch {
	case r.Status == record.Held:
		p.Class, p.Label, state, p.Carries = isHeld, "held "+p.Label, "", 1
		if x := refusal(r); x != nil && x.WidthMM > 0 {
			p.Carries = min(x.WidthMM/p.Width, x.HeightMM/p.Height, 1)
			state = ", " + canBe(r) + cmp.Or(x.Size, "less")
		}
	case r.Status == record.ReadyWithCautions:
		p.Class, p.Label, state = "look", "look "+p.Label, ""
	}
	p.Says = c.Name + ", " + p.Label + state // with the words that are seen
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
