package sheet

// Whole is the rectangle of everything printed or trimmed to: the outer size, wrap and
// bleed, marks and caption.
func (l Layout) Whole() Rect {
	r := l.Outer.union(l.Ink)
	for _, m := range l.Marks {
		r = r.union(m.bounds())
	}
	if l.Caption != nil {
		r = r.union(*l.Caption)
	}
	return r
}

// Cropped returns the layout of the piece without the paper around it, for a print that is
// packed onto a roll with others. The cutting plan says where it lies there and in which
// orientation, so the notes about that are removed. The layout must be upright.
func (l Layout) Cropped() Layout {
	all := l.Whole()
	move := func(r Rect) Rect {
		r = r.moved(-all.X, -all.Y)
		return Rect{tidy(r.X), tidy(r.Y), tidy(r.Width), tidy(r.Height)}
	}
	maybe := func(r *Rect) *Rect {
		if r == nil {
			return nil
		}
		moved := move(*r)
		return &moved
	}
	segment := func(s Segment) Segment {
		s = s.moved(-all.X, -all.Y)
		return Segment{tidy(s.X1), tidy(s.Y1), tidy(s.X2), tidy(s.Y2)}
	}
	c := l
	c.Margins, c.Turned, c.LeadingEdge = Margins{}, false, Loose
	c.Sheet, c.Outer, c.Ink, c.Picture = move(all), move(l.Outer), move(l.Ink), move(l.Picture)
	c.Printable = c.Sheet
	c.Opening, c.Caption = maybe(l.Opening), maybe(l.Caption)
	c.Marks, c.Folds = nil, nil
	for _, m := range l.Marks {
		c.Marks = append(c.Marks, Mark{m.Kind, segment(m.Segment)})
	}
	for _, s := range l.Folds {
		c.Folds = append(c.Folds, segment(s))
	}
	c.Between, c.Moved, c.ModeMoves = Offset{}, Offset{}, Offset{}
	px, py := c.Picture.Centre()
	sx, sy := c.Sheet.Centre()
	c.OffCentre = Offset{tidy(px - sx), tidy(py - sy)}
	c.unplaced()
	return c
}

// Cropped returns the raster of the piece without the paper around it.
func (r Raster) Cropped() Raster {
	all := r.Outer.union(r.Ink)
	for _, m := range r.Marks {
		all = all.union(m)
	}
	if r.Caption != nil {
		all = all.union(*r.Caption)
	}
	move := func(p PixelRect) PixelRect { return PixelRect{p.X - all.X, p.Y - all.Y, p.Width, p.Height} }
	maybe := func(p *PixelRect) *PixelRect {
		if p == nil {
			return nil
		}
		moved := move(*p)
		return &moved
	}
	c := Raster{
		PPI: r.PPI, Width: all.Width, Height: all.Height,
		Printable: PixelRect{Width: all.Width, Height: all.Height},
		Outer:     move(r.Outer), Ink: move(r.Ink), Picture: move(r.Picture),
		Opening: maybe(r.Opening), Caption: maybe(r.Caption),
	}
	for _, s := range r.Strips {
		c.Strips = append(c.Strips, move(s))
	}
	for _, m := range r.Marks {
		c.Marks = append(c.Marks, move(m))
	}
	return c
}

func (r PixelRect) union(s PixelRect) PixelRect {
	x, y := min(r.X, s.X), min(r.Y, s.Y)
	return PixelRect{x, y, max(r.Right(), s.Right()) - x, max(r.Bottom(), s.Bottom()) - y}
}
