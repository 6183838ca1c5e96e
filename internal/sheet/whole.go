package sheet

// Whole is all that is printed or trimmed to: the outer size, wrap and bleed, marks
// and caption.
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

// Cropped is the raster of the whole piece alone, without the paper around it.
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
