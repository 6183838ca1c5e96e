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
	c := l.through(func(x, y float64) (float64, float64) { return x - all.X, y - all.Y })
	c.Margins, c.Turned, c.LeadingEdge = Margins{}, false, Loose
	c.Sheet = Rect{Width: tidy(all.Width), Height: tidy(all.Height)}
	c.Printable = c.Sheet
	c.Between, c.Moved, c.ModeMoves = Offset{}, Offset{}, Offset{}
	c.centre()
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
	c := Raster{
		PPI: r.PPI, Width: all.Width, Height: all.Height,
		Printable: PixelRect{Width: all.Width, Height: all.Height},
		Outer:     move(r.Outer), Ink: move(r.Ink), Picture: move(r.Picture),
		Opening: maybe(r.Opening, move), Caption: maybe(r.Caption, move),
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
