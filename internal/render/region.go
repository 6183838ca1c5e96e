package render

import "sizewright/internal/vector"

// Region makes a part of the print with the same pixels as in the whole: columns
// [x, x+w) and rows [y, y+h), which must lie within the picture. The samples are
// interleaved, 16 bits.
func (r *Renderer) Region(x, y, w, h int) []uint16 {
	b := bands.Get().(*band)
	defer bands.Put(b)
	out := make([]uint16, w*h*r.inks)
	for top := y; top < y+h; top += r.recipe.File.BandRows {
		b.window = [2]int{x, x + w}
		b.top, b.bottom = top, min(top+r.recipe.File.BandRows, y+h)
		r.tiles(b, x, x+w, func() {
			for row := b.top; row < b.bottom; row++ {
				at := ((row-y)*w + b.left - x) * r.inks
				vector.Interleave16(out[at:][:(b.right-b.left)*r.inks], r.finishedRow(b, row)...)
			}
		})
	}
	return out
}
