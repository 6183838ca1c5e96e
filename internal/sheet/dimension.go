package sheet

import "math"

// Distances of the dimensions from the drawn rectangles, in the drawing's units.
const (
	dimensionOff = 34
	arrow        = 4
)

// dimensions draws the sheet's two sides, at the left and above, and at the other sides
// the picture's, with its distances from the paper's edges.
func (d *diagram) dimensions() {
	s, p := d.l.Sheet, d.l.Picture
	all := d.all
	beyond := float64(dimensionOff)
	if d.l.LeadingEdge == "right" {
		beyond += lineHeight - 4 // the edge's name is there
	}
	d.level(all.Y, -dimensionOff, s.X, s.Right())
	d.upright(all.X, -dimensionOff, s.Y, s.Bottom())
	for _, cut := range [][2]float64{{s.X, p.X}, {p.X, p.Right()}, {p.Right(), s.Right()}} {
		d.level(all.Bottom(), dimensionOff, cut[0], cut[1])
	}
	for _, cut := range [][2]float64{{s.Y, p.Y}, {p.Y, p.Bottom()}, {p.Bottom(), s.Bottom()}} {
		d.upright(all.Right(), beyond, cut[0], cut[1])
	}
}

// level draws a horizontal dimension from a to b, in mm, off units from y. The number is
// above its line, or below it where it would not fit between the ends.
func (d *diagram) level(y, off, a, b float64) {
	if b-a < hair {
		return
	}
	at := d.y(y) + off
	x0, x1 := d.x(a), d.x(b)
	d.add(`<path class="dimension" d="M%.2f %.2fH%.2fM%.2f %.2fv8M%.2f %.2fv8" stroke-width="0.8"/>`+"\n", x0, at, x1, x0, at-arrow, x1, at-arrow)
	down := -5.0
	if x1-x0 < 30 && off > 0 {
		down = 17
	}
	d.text((x0+x1)/2, at+down, "middle", 0, tenths(b-a))
}

// upright draws a vertical dimension; its number reads upwards.
func (d *diagram) upright(x, off, a, b float64) {
	if b-a < hair {
		return
	}
	at := d.x(x) + off
	y0, y1 := d.y(a), d.y(b)
	d.add(`<path class="dimension" d="M%.2f %.2fV%.2fM%.2f %.2fh8M%.2f %.2fh8" stroke-width="0.8"/>`+"\n", at, y0, y1, at-arrow, y0, at-arrow, y1)
	if math.Abs(y1-y0) < 30 && off > 0 {
		d.text(at+8, float64((y0+y1)/2)+4, "start", 0, tenths(b-a))
		return
	}
	d.text(at-5, (y0+y1)/2, "middle", -90, tenths(b-a))
}
