package sheet

// A MarkKind is what a mark is for.
type MarkKind string

const (
	TrimMark MarkKind = "trim"
	FoldMark MarkKind = "fold"
)

// A Mark is a line printed beside the print that goes on along one of its edges: a
// cut or a fold is laid through two of them.
type Mark struct {
	Kind MarkKind `json:"kind"`
	Segment
}

// A piece is a picture with all that goes around it, seen upright, before it lies
// anywhere: the picture's corner is at 0, 0.
type piece struct {
	picture, ink, outer, content Rect
	opening, caption             *Rect
	marks                        []Mark
	folds                        []Segment

	// The largest picture that the outer size has room for, 0 for any.
	roomWidth, roomHeight float64
}

// newPiece lays borders, wrap, bleed, marks and caption around a picture. The
// options are settled.
func newPiece(width, height float64, o Options) piece {
	p := piece{picture: Rect{Width: width, Height: height}}
	p.border(o)
	p.ink = p.picture.grown(o.WrapMM + o.BleedMM)
	p.content = p.ink
	if o.WrapMM > 0 {
		p.outer = p.picture.grown(o.WrapMM)
		p.folds = sidesOf(p.picture, p.ink)
	}
	if o.TrimMarks {
		p.mark(TrimMark, p.outer, o)
		if o.WrapMM > 0 {
			p.mark(FoldMark, p.picture, o)
		}
	}
	if o.Caption != "" {
		p.placeCaption(o)
	}
	return p
}

// border settles the outer size. One that is given holds the picture in its
// middle, or raised.
func (p *piece) border(o Options) {
	b := o.Border
	p.outer = p.picture
	switch b.Kind {
	case Even:
		p.outer = p.picture.grown(b.MM)
	case BottomWeighted:
		p.outer = p.picture.grown(b.MM)
		p.outer.Height += b.BottomMM - b.MM
	case Outer:
		p.size(b.OuterWidthMM, b.OuterHeightMM, o.RaiseShare)
	case Mat:
		opening := p.within(b.OuterWidthMM, b.OuterHeightMM, o.RaiseShare)
		p.opening = &opening
		p.outer = opening.grown(b.OverlapMM)
		p.roomWidth, p.roomHeight = p.outer.Width, p.outer.Height
	}
}

func (p *piece) size(width, height, raise float64) {
	p.outer = p.within(width, height, raise)
	p.roomWidth, p.roomHeight = width, height
}

// within is a rectangle around the picture that has it in its middle, raised by a
// share of the height that is left.
func (p *piece) within(width, height, raise float64) Rect {
	free := height - p.picture.Height
	return Rect{(p.picture.Width - width) / 2, float64(-free/2) + float64(raise*max(0, free)), width, height}
}

// mark adds eight marks that go on along the edges of r, beyond the outer size.
func (p *piece) mark(kind MarkKind, r Rect, o Options) {
	near, far := p.outer.grown(o.MarkGapMM), p.outer.grown(o.MarkGapMM+o.MarkLengthMM)
	for _, x := range []float64{r.X, r.Right()} {
		p.addMark(kind, Segment{x, far.Y, x, near.Y})
		p.addMark(kind, Segment{x, near.Bottom(), x, far.Bottom()})
	}
	for _, y := range []float64{r.Y, r.Bottom()} {
		p.addMark(kind, Segment{far.X, y, near.X, y})
		p.addMark(kind, Segment{near.Right(), y, far.Right(), y})
	}
}

func (p *piece) addMark(kind MarkKind, s Segment) {
	p.marks = append(p.marks, Mark{kind, s})
	p.content = p.content.union(s.bounds())
}

const (
	captionGapMM   = 2  // from what is nearest: house practice
	captionWidthMM = 20 // less tells nothing: house practice
)

// placeCaption finds the caption's line: below the picture in its border, where
// that has room for it; else below the trimmed print, between its marks; and below
// those where they are too near each other.
func (p *piece) placeCaption(o Options) {
	visible := p.outer
	if p.opening != nil {
		visible = *p.opening
	}
	c := Rect{p.picture.X, p.picture.Bottom() + captionGapMM, p.picture.Width, o.CaptionHeightMM}
	if visible.Bottom()-c.Bottom() < captionGapMM-hair || o.Border.Kind == NoBorder {
		c = p.below(o)
	}
	p.caption = &c
	p.content = p.content.union(c)
}

func (p *piece) below(o Options) Rect {
	c := Rect{p.outer.X, p.outer.grown(o.BleedMM).Bottom() + captionGapMM, p.outer.Width, o.CaptionHeightMM}
	if !o.TrimMarks {
		return c
	}
	between := p.outer
	if o.WrapMM > 0 {
		between = p.picture
	}
	c.X, c.Width = between.X+captionGapMM, between.Width-2*captionGapMM
	if c.Width < captionWidthMM {
		c = Rect{p.outer.X, p.content.Bottom() + captionGapMM, p.outer.Width, o.CaptionHeightMM}
	}
	return c
}

// sidesOf are the four edges of r, each as long as within reaches.
func sidesOf(r, within Rect) []Segment {
	return []Segment{
		{r.X, within.Y, r.X, within.Bottom()},
		{r.Right(), within.Y, r.Right(), within.Bottom()},
		{within.X, r.Y, within.Right(), r.Y},
		{within.X, r.Bottom(), within.Right(), r.Bottom()},
	}
}
