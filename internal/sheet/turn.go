package sheet

import "math"

// through returns the layout with its rectangles and lines moved by a map of points.
func (l Layout) through(point func(x, y float64) (float64, float64)) Layout {
	rect := func(r Rect) Rect {
		x0, y0 := point(r.X, r.Y)
		x1, y1 := point(r.Right(), r.Bottom())
		return Rect{tidy(min(x0, x1)), tidy(min(y0, y1)), tidy(math.Abs(x1 - x0)), tidy(math.Abs(y1 - y0))}
	}
	segment := func(s Segment) Segment {
		x1, y1 := point(s.X1, s.Y1)
		x2, y2 := point(s.X2, s.Y2)
		return Segment{tidy(x1), tidy(y1), tidy(x2), tidy(y2)}
	}
	u := l
	u.Sheet, u.Printable, u.Outer, u.Ink, u.Picture = rect(l.Sheet), rect(l.Printable), rect(l.Outer), rect(l.Ink), rect(l.Picture)
	u.Opening, u.Caption, u.Marks, u.Folds = maybe(l.Opening, rect), maybe(l.Caption, rect), nil, nil
	for _, m := range l.Marks {
		u.Marks = append(u.Marks, Mark{m.Kind, segment(m.Segment)})
	}
	for _, s := range l.Folds {
		u.Folds = append(u.Folds, segment(s))
	}
	return u
}

// maybe applies a function to what a pointer points to, if it points to anything.
func maybe[T, U any](p *T, f func(T) U) *U {
	if p == nil {
		return nil
	}
	v := f(*p)
	return &v
}

// Upright returns the layout in the frame with the picture upright. For a picture that is
// not turned that is the layout itself. Otherwise the paper lies on its side, with its
// leading edge on the right. Only rectangles and lines change: offsets and margins are
// named by the paper's own sides.
func (l Layout) Upright() Layout {
	if !l.Turned || l.LeadingEdge == "right" || len(l.Problems) > 0 {
		return l
	}
	u := l.through(func(x, y float64) (float64, float64) { return l.Sheet.Height - y, x })
	u.LeadingEdge = "right"
	return u
}
