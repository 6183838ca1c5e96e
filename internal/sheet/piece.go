package sheet

// A MarkKind is the purpose of a mark.
type MarkKind string

const (
	TrimMark MarkKind = "trim"
	FoldMark MarkKind = "fold"
)

// A Mark is a line printed beside the print, in line with one of its edges. A cut or a
// fold goes through two of them.
type Mark struct {
	Kind MarkKind `json:"kind"`
	Segment
}

// A piece is an upright picture with everything around it, before it is placed: the
// picture's corner is at 0, 0.
type piece struct {
	picture, ink, outer, content Rect
	opening, caption             *Rect
	marks                        []Mark
	folds                        []Segment

	// The largest picture for which the outer size has room; 0: any.
	roomWidth, roomHeight float64
}

// newPiece adds borders, wrap, bleed, marks and caption to a picture. The options have
// their defaults filled in.
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

// border sets the outer size. If a size is given, the picture is in its middle, or
// raised.
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

// within returns a rectangle of this size around the picture, which is in its middle,
// raised by a share of the free height.
func (p *piece) within(width, height, raise float64) Rect {
	free := height - p.picture.Height
	return Rect{(p.picture.Width - width) / 2, float64(-free/2) + float64(raise*max(0, free)), width, height}
}

// mark adds eight marks in line with the edges of r, outside the outer size.
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
	captionGapMM   = 2  // from what is nearest (house judgement)
	captionWidthMM = 20 // less is too short to read (house judgement)
)

// placeCaption places the caption's line below the picture in its border, if the border
// has room for it; otherwise below the trimmed print, between its marks; and below the
// marks if they are too near each other.
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

// sidesOf returns the four edges of r, extended to the sides of within.
func sidesOf(r, within Rect) []Segment {
	return []Segment{
		{r.X, within.Y, r.X, within.Bottom()},
		{r.Right(), within.Y, r.Right(), within.Bottom()},
		{within.X, r.Y, within.Right(), r.Y},
		{within.X, r.Bottom(), within.Right(), r.Bottom()},
	}
}
