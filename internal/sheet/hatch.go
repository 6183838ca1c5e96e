package sheet

import (
	"fmt"
	"math"
	"strings"
)

// frameOf returns the four bands of outer around inner. Where inner sticks out of outer
// there is no band.
func frameOf(inner, outer Rect) []Rect {
	var bands []Rect
	for _, r := range []Rect{
		{outer.X, outer.Y, outer.Width, inner.Y - outer.Y},
		{outer.X, inner.Bottom(), outer.Width, outer.Bottom() - inner.Bottom()},
		{outer.X, inner.Y, inner.X - outer.X, inner.Height},
		{inner.Right(), inner.Y, outer.Right() - inner.Right(), inner.Height},
	} {
		if r.Width > hair && r.Height > hair {
			bands = append(bands, r)
		}
	}
	return bands
}

// hatch fills a rectangle with lines that rise (1) or fall (-1) to the right, a step
// apart. The lines of adjacent rectangles meet.
func (d *diagram) hatch(class string, r Rect, step float64, rise float64) {
	x0, y0, x1, y1 := d.x(r.X), d.y(r.Y), d.x(r.Right()), d.y(r.Bottom())
	var path strings.Builder
	// A line is x + rise y = c.
	low, high := x0+min(rise*y0, rise*y1), x1+max(rise*y0, rise*y1)
	for c := math.Ceil(low/step) * step; c < high; c += step {
		a, b := max(x0, c-max(rise*y0, rise*y1)), min(x1, c-min(rise*y0, rise*y1))
		if b-a > 0.01 {
			fmt.Fprintf(&path, "M%.1f %.1fL%.1f %.1f", a, (c-a)*rise, b, (c-b)*rise)
		}
	}
	if path.Len() > 0 {
		d.add(`<path class="%s" d="%s" %s/>`+"\n", class, path.String(), faint)
	}
}
