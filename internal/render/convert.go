package render

import "sizewright/internal/vector"

// toPrintColours takes the tile to the print's own channels: luma and differences
// to R, G and B, and those to the values of the profile it will carry.
func toPrintColours(r *Renderer, b *band) {
	for c := r.channels; c < r.inks; c++ {
		b.inked[c].shape(b.top, b.left, b.bottom, b.right)
	}
	for y := b.top; y < b.bottom; y++ {
		src := b.raw[:r.channels]
		src[0] = b.sharp.row(y)
		for c := 1; c < r.channels; c++ {
			src[c] = b.print[c].span(y, b.left, b.right)
		}
		if r.channels == 3 {
			vector.ToRGB(src[0], src[1], src[2])
		}
		if r.toOutput != nil {
			r.toOutput.Apply(r.finishedRow(b, y), src, b.right-b.left)
		}
	}
}

// finished is row y of a channel of the tile as the print carries it: where that
// channel has been all along, or beside it when the print has more.
func (r *Renderer) finished(b *band, c, y int) []float32 {
	switch {
	case c >= r.channels:
		return b.inked[c].row(y)
	case c == 0:
		return b.sharp.row(y)
	}
	return b.print[c].span(y, b.left, b.right)
}

// finishedRow is all channels of row y.
func (r *Renderer) finishedRow(b *band, y int) [][]float32 {
	for c := range r.inks {
		b.done[c] = r.finished(b, c, y)
	}
	return b.done[:r.inks]
}
