package sheet

import (
	"fmt"

	"sizewright/internal/caution"
)

// This file holds everything a layout says to people, except lengths (lengths.go), faults
// (problems.go) and the legend of its drawing (legend.go). Sentences begin with a small
// letter and have no full stop, as other cautions do; a page adds those.

// decide notes what was decided.
func (l *Layout) decide(c choice, m Media) {
	l.say(&l.Decisions, "turn", l.turnedInEnglish(c))
	l.say(&l.Decisions, "placement", l.placementInEnglish())
	l.say(&l.Decisions, "raised", l.raisedInEnglish())
	l.say(&l.Decisions, "border", l.borderInEnglish())
	l.say(&l.Decisions, "edges", l.edgesInEnglish())
	if m.Kind == Roll {
		l.say(&l.Decisions, "length", fmt.Sprintf("%s are cut from the roll", mm(l.Sheet.Height)))
	}
}

// unplaced removes the notes about where the print lies.
func (l *Layout) unplaced() {
	notes, cautions := l.Decisions, l.Cautions
	l.Decisions, l.Cautions = []Note{}, []caution.Caution{}
	l.say(&l.Decisions, "packed", "packed onto the roll with others: the cutting plan says where it lies and in which orientation")
	for _, n := range notes {
		if n.Code == "border" || n.Code == "edges" {
			l.Decisions = append(l.Decisions, n)
		}
	}
	for _, c := range cautions {
		if c.Code != modeMargin.Code && c.Code != movedPrint.Code {
			l.Cautions = append(l.Cautions, c)
		}
	}
}

// The cautions of a layout. A print that is too large is held, in the same words.
var (
	tooLarge   = caution.New("too-large", caution.NeedsYou, "Give it a larger paper, or print it smaller.")
	modeMargin = caution.New("mode", caution.ForTheRecord, "")
	movedPrint = caution.New("moved", caution.WorthALook, "See on the preview whether it may lie there. If not, give it a larger paper.")
	noBleed    = caution.New("no-bleed", caution.WorthALook, "Cut just inside the edge, or set bleed_mm = 3 and drop it again.")
	matCovers  = caution.New("mat-covers", caution.WorthALook, "See whether that much of the edge may be covered. If not, set a smaller overlap_mm and drop it again.")
)

// cautions adds what to check before printing.
func (l *Layout) cautions(width, height float64, m Media) {
	l.warn(tooLarge, l.tooLargeInEnglish(width, height, m))
	l.warn(modeMargin, l.modeInEnglish(width, height, m))
	if l.Fits && !l.Moved.none() {
		l.warn(movedPrint, fmt.Sprintf("the print cannot lie where it was asked for: it is moved %s, to keep everything printed off the margins", towards(l.Moved)))
	}
	if o := l.Options; o.TrimMarks && o.borderless() && o.BleedMM == 0 && o.WrapMM == 0 {
		l.warn(noBleed, "the print is trimmed at the picture's own edge: a cut slightly outside leaves white")
	}
	if covered := l.covered(); covered > hair {
		l.warn(matCovers, fmt.Sprintf("the mat covers up to %s of the picture's edge", mm(covered)))
	}
}

func (l *Layout) warn(k caution.Kind, text string) {
	if text != "" {
		l.Cautions = append(l.Cautions, k.Say("%s", text))
	}
}

func (l *Layout) say(to *[]Note, code, text string) {
	if text != "" {
		*to = append(*to, Note{code, text})
	}
}

func (l *Layout) turnedInEnglish(c choice) string {
	const sideways = "it lies sideways, with its top at the paper's left side (landscape)"
	switch up, on := c.upright.fits(), c.turned.fits(); {
	case !up && !on && l.Turned:
		return sideways + ", where there is room for more of it"
	case l.Turned && !up:
		return sideways + ": upright it would be " + excess(c.upright)
	case l.Turned:
		return fmt.Sprintf("%s and takes %s of the roll; upright it would take %s", sideways, mm(c.turned.along()), mm(c.upright.along()))
	case l.Kind == Roll && up && !on:
		return fmt.Sprintf("it lies upright and takes %s of the roll; sideways it would be %s", mm(c.upright.along()), excess(c.turned))
	case l.Kind == Roll && up:
		return fmt.Sprintf("it lies upright and takes %s of the roll; sideways it would take %s", mm(c.upright.along()), mm(c.turned.along()))
	}
	return ""
}

func (l *Layout) placementInEnglish() string {
	on, other := "on the sheet", "in the printable area"
	way := l.Between
	if l.Options.Placement == OnPrintable {
		on, other = other, on
		way = Offset{-way.XMM, -way.YMM}
	}
	if way.none() {
		return fmt.Sprintf("centred %s; centred %s it would lie in the same place", on, other)
	}
	return fmt.Sprintf("centred %s; centred %s it would lie %s", on, other, nearer(way))
}

// Where says where the picture's centre is, in terms of the paper's own sides.
func (l Layout) Where() string {
	switch {
	case l.LeadingEdge == Loose:
		return "the piece without paper, to be packed"
	case l.OffCentre.none():
		return "the picture's centre is the sheet's"
	}
	return "the picture's centre is " + nearer(l.OffCentre) + " than the sheet's"
}

func (l *Layout) raisedInEnglish() string {
	o := l.Options
	switch sized := o.Border.Kind == Outer || o.Border.Kind == Mat; {
	case o.RaiseShare == 0:
		return ""
	case sized:
		return fmt.Sprintf("raised by %s of the free height within %s", percent(o.RaiseShare), map[bool]string{true: "the mat", false: "its outer size"}[o.Border.Kind == Mat])
	case o.trims():
		return "not raised, because the print is trimmed"
	}
	return fmt.Sprintf("raised by %s of the sheet's free height", percent(o.RaiseShare))
}

func (l *Layout) borderInEnglish() string {
	switch o := l.Options; o.Border.Kind {
	case Even:
		return fmt.Sprintf("a border of %s all round", mm(o.Border.MM))
	case BottomWeighted:
		return fmt.Sprintf("a border of %s, and %s below", mm(o.Border.MM), mm(o.Border.BottomMM))
	case Outer:
		return "trimmed to " + sides(o.Border.OuterWidthMM, o.Border.OuterHeightMM)
	case Mat:
		return fmt.Sprintf("trimmed to %s, for an opening of %s with %s behind the mat on each side",
			sides(o.Border.OuterWidthMM+2*o.Border.OverlapMM, o.Border.OuterHeightMM+2*o.Border.OverlapMM),
			sides(o.Border.OuterWidthMM, o.Border.OuterHeightMM), mm(o.Border.OverlapMM))
	}
	return ""
}

func (l *Layout) edgesInEnglish() string {
	o := l.Options
	made := map[BleedWay]string{Reflect: "reflected", Stretch: "stretched", Replicate: "replicated"}[o.Bleed]
	switch {
	case o.WrapMM > 0 && o.BleedMM > 0:
		return fmt.Sprintf("sides of %s and a bleed of %s are the picture reflected; none of it is lost", mm(o.WrapMM), mm(o.BleedMM))
	case o.WrapMM > 0:
		return fmt.Sprintf("sides of %s are the picture reflected; none of it is lost", mm(o.WrapMM))
	case o.BleedMM > 0:
		return fmt.Sprintf("a bleed of %s is the picture's edge %s; none of the picture is lost", mm(o.BleedMM), made)
	}
	return ""
}

func (l *Layout) tooLargeInEnglish(width, height float64, m Media) string {
	if l.Fits {
		return ""
	}
	what := "the picture"
	if l.Ink != l.Picture || l.Outer != l.Picture || l.Caption != nil || len(l.Marks) > 0 {
		what = "the picture with everything around it"
	}
	text := fmt.Sprintf("%s is %s for %s", what, excessOf(l.TooWideMM, l.TooHighMM), l.Media)
	if l.Mode != "" {
		text += " in the mode " + l.Mode
	}
	switch {
	case *l.Largest == Extent{}:
		text += ": no picture of its shape fits"
	default:
		text += ": the largest of its shape is " + sides(l.Largest.WidthMM, l.Largest.HeightMM)
	}
	alone := choose(width, height, m, Options{Mode: l.Mode}.settled()).taken
	switch {
	case alone.fits():
		text += "; the picture alone would fit"
	case l.onPaper(width, height):
		text += "; for a print without margins, use a larger paper or a wider roll, set a bleed, and trim"
	}
	return text
}

// onPaper reports whether the picture without anything around it would fit the paper if
// the paper had no margins.
func (l *Layout) onPaper(width, height float64) bool {
	w, h := l.Sheet.Width, l.Sheet.Height
	if l.Turned {
		w, h = h, w
	}
	return width <= w+hair && height <= h+hair
}

// modeInEnglish describes a mode that moves, turns or rules out a picture.
func (l *Layout) modeInEnglish(width, height float64, m Media) string {
	mode := m.Modes[l.Mode]
	if mode.ExtraMM == 0 {
		return ""
	}
	plain := l.Options
	plain.Mode = ""
	without := choose(width, height, m, plain).taken
	adds := fmt.Sprintf("the mode %s adds %s at the %s: ", l.Mode, mm(mode.ExtraMM), edge(mode.Side))
	switch {
	case !l.Fits && without.fits():
		return adds + "without it the print would fit"
	case without.turned != l.Turned:
		return adds + "without it the print would lie the other way round"
	case !l.ModeMoves.none():
		return adds + "the print lies " + nearer(l.ModeMoves) + " than without it"
	}
	return ""
}

// covered returns the widest strip of the picture that the mat hides at one edge.
func (l *Layout) covered() float64 {
	if l.Opening == nil {
		return 0
	}
	p, o := l.Picture, *l.Opening
	return max(o.X-p.X, o.Y-p.Y, p.Right()-o.Right(), p.Bottom()-o.Bottom())
}
