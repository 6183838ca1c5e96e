package sheet

import "fmt"

// foot writes the legend below the drawing.
func (d *diagram) foot(top float64) {
	for i, fact := range d.facts {
		d.text(8, top+float64(float64(i)*lineHeight), "start", 0, shortened(fact, 68))
	}
}

// facts returns the lines of the legend.
func (l Layout) facts() []string {
	facts := l.paperFacts()
	if o := l.Outer; l.outlined() {
		is := "the picture with its border, "
		if l.Options.trims() {
			is = "the trimmed print, "
		}
		facts = append(facts, "chain line: "+is+sides(o.Width, o.Height))
	}
	if o := l.Opening; o != nil {
		facts = append(facts, "dotted line: the mat's opening, "+sides(o.Width, o.Height))
	}
	switch o := l.Options; {
	case o.WrapMM > 0:
		facts = append(facts, fmt.Sprintf("hatched around the picture: sides of %s, bleed %s", mm(o.WrapMM), mm(o.BleedMM)), "dotted lines: folds")
	case o.BleedMM > 0:
		facts = append(facts, fmt.Sprintf("hatched around the picture: a bleed of %s", mm(o.BleedMM)))
	}
	if l.Caption != nil {
		facts = append(facts, "grey box: \u201c"+l.Options.Caption+"\u201d")
	}
	return facts
}

// paperFacts returns the lines about the paper and the position of the picture on it, with
// the sides named as they are drawn.
func (l Layout) paperFacts() []string {
	if l.LeadingEdge == Loose {
		return []string{fmt.Sprintf("%s for %s; the cutting plan says where it lies", sides(l.Sheet.Width, l.Sheet.Height), l.Media)}
	}
	g := l.Margins
	facts := []string{
		fmt.Sprintf("%s, %s; hatched: margins", l.Media, sides(l.Sheet.Width, l.Sheet.Height)),
		fmt.Sprintf("margins: left %s, right %s, leading %s, trailing %s", tenths(g.LeftMM), tenths(g.RightMM), tenths(g.LeadingMM), tenths(g.TrailingMM)),
		"the print fits",
		"+ and o, the centres of sheet and picture, are the same",
	}
	if l.LeadingEdge == "right" { // the paper's left is above
		facts[1] = fmt.Sprintf("margins: left %s (trailing edge), right %s (leading edge), above %s, below %s", tenths(g.TrailingMM), tenths(g.LeadingMM), tenths(g.LeftMM), tenths(g.RightMM))
		facts[0] = fmt.Sprintf("%s, %s; hatched: margins", l.Media, sides(l.Sheet.Height, l.Sheet.Width))
	}
	if !l.Fits {
		facts[2] = "it does not fit: " + excessOf(l.TooWideMM, l.TooHighMM)
	}
	if !l.OffCentre.none() {
		facts[3] = "from + (the sheet's centre) to o (the picture's): " + l.OffCentre.short()
		if l.LeadingEdge == "right" {
			facts[3] = "from + (the sheet's centre) to o (the picture's): " + l.OffCentre.drawnTurned()
		}
	}
	return facts
}

// faults draws the problems of a layout that could not be made.
func (d *diagram) faults() {
	d.open(640, float64(len(d.l.Problems)+2)*lineHeight)
	for i, p := range d.l.Problems {
		d.text(8, float64(float64(i+1)*lineHeight)+4, "start", 0, shortened(p.Key+": "+p.Text, 110))
	}
	d.WriteString("</svg>\n")
}
