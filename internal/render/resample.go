package render

import "sizewright/internal/vector"

// An enlargement is resampled across first, a reduction down first: this leaves fewer
// pixels in between, and down is the faster direction for many taps.

// downFirst resamples a reduction's source rows to print rows, at their full width.
func downFirst(r *Renderer, b *band) {
	if r.tone == nil {
		return
	}
	for c := range r.channels {
		top, bottom := r.printRows(b, c)
		b.lines[c].shape(top, -r.margin, bottom, r.src.Width+r.margin)
		for y := top; y < bottom; y++ {
			r.y[c].down(b, y, &b.source[c], b.lines[c].row(y))
		}
	}
}

// across resamples rows to the tile's columns: source rows, or for a reduction the
// print's rows.
func across(r *Renderer, b *band) {
	for c := range r.channels {
		left, right := r.printColumns(b, c)
		if r.tone != nil {
			b.shapePrint(r, c)
			for y := b.print[c].top; y < b.print[c].top+b.print[c].rows; y++ {
				r.x[c].Line(b.print[c].span(y, left, right), b.lines[c].row(y), left)
			}
			b.print[c].extend(left, right)
			continue
		}
		top, bottom := r.sourceRows(b, c)
		b.lines[c].shape(top, left, bottom, right)
		for y := top; y < bottom; y++ {
			r.x[c].Line(b.lines[c].row(y), b.source[c].row(y), left)
		}
	}
}

// shapePrint gives a plane of the tile its rows and columns, with the halo.
func (b *band) shapePrint(r *Renderer, c int) {
	top, bottom := r.printRows(b, c)
	h := r.haloColumns(c)
	b.print[c].shape(top, b.left-h, bottom, b.right+h)
}

// down resamples an enlargement's lines to the print's rows and limits the halos of
// luma. A ripple in colour alone is not visible, so the differences are not limited.
func down(r *Renderer, b *band) {
	if r.tone != nil {
		return
	}
	for c := range r.channels {
		left, right := r.printColumns(b, c)
		b.shapePrint(r, c)
		for y := b.print[c].top; y < b.print[c].top+b.print[c].rows; y++ {
			dst := b.print[c].span(y, left, right)
			r.y[c].down(b, y, &b.lines[c], dst)
			if c == 0 && r.halos != nil {
				r.holdHalos(b, y, dst)
			}
		}
		b.print[c].extend(left, right)
	}
}

// down makes print row y of a plane from source rows.
func (a *axis) down(b *band, y int, from *grid, dst []float32) {
	at := func(k int) []float32 { return from.row(min(max(int(a.first[y])+k, 0), a.n-1)) }
	rows := b.blur.rows[:0]
	for k := range a.taps {
		rows = append(rows, at(k))
	}
	b.blur.rows = rows
	vector.WeightedSum(dst, rows, a.weights(y))
}
