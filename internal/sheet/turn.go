package sheet

// A frame converts from the frame with the picture upright to the frame as fed. width is
// the paper's in the upright frame. A turned picture has its top at the paper's left:
// down in the picture is across the paper, and left in the picture is trailing.
type frame struct {
	turned bool
	width  float64
}

func (f frame) fed(r Rect) Rect {
	if f.turned {
		r = Rect{r.Y, f.width - r.Right(), r.Height, r.Width}
	}
	return Rect{tidy(r.X), tidy(r.Y), tidy(r.Width), tidy(r.Height)}
}

func (f frame) segment(s Segment) Segment {
	if f.turned {
		s = Segment{s.Y1, f.width - s.X1, s.Y2, f.width - s.X2}
	}
	return Segment{tidy(s.X1), tidy(s.Y1), tidy(s.X2), tidy(s.Y2)}
}

func (f frame) maybe(r *Rect, dx, dy float64) *Rect {
	if r == nil {
		return nil
	}
	moved := f.fed(r.moved(dx, dy))
	return &moved
}

func (f frame) way(dx, dy float64) Offset {
	if f.turned {
		dx, dy = dy, -dx
	}
	return Offset{tidy(dx), tidy(dy)}
}

// Upright returns the layout in the frame with the picture upright. For a picture that is
// not turned that is the layout itself. Otherwise the paper lies on its side, with its
// leading edge on the right. Only rectangles and lines change: offsets and margins are
// named by the paper's own sides.
func (l Layout) Upright() Layout {
	if !l.Turned || l.LeadingEdge == "right" || len(l.Problems) > 0 {
		return l
	}
	length := l.Sheet.Height
	rect := func(r Rect) Rect { return Rect{tidy(length - r.Bottom()), r.X, r.Height, r.Width} }
	maybe := func(r *Rect) *Rect {
		if r == nil {
			return nil
		}
		turned := rect(*r)
		return &turned
	}
	segment := func(s Segment) Segment { return Segment{tidy(length - s.Y1), s.X1, tidy(length - s.Y2), s.X2} }
	u := l
	u.LeadingEdge = "right"
	u.Sheet, u.Printable, u.Outer, u.Ink, u.Picture = rect(l.Sheet), rect(l.Printable), rect(l.Outer), rect(l.Ink), rect(l.Picture)
	u.Opening, u.Caption = maybe(l.Opening), maybe(l.Caption)
	u.Marks, u.Folds = nil, nil
	for _, m := range l.Marks {
		u.Marks = append(u.Marks, Mark{m.Kind, segment(m.Segment)})
	}
	for _, s := range l.Folds {
		u.Folds = append(u.Folds, segment(s))
	}
	return u
}
