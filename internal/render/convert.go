package render

import "sizewright/internal/vector"

// toPrintColours converts the tile to the print's channels: luma and differences to R,
// G and B, and those to the values of the print's profile.
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

// finished returns row y of one channel of the tile in the print's colours. Channels
// beyond those of the source are in b.inked.
func (r *Renderer) finished(b *band, c, y int) []float32 {
	switch {
	case c >= r.channels:
		return b.inked[c].row(y)
	case c == 0:
		return b.sharp.row(y)
	}
	return b.print[c].span(y, b.left, b.right)
}

// finishedRow returns row y of all channels.
func (r *Renderer) finishedRow(b *band, y int) [][]float32 {
	for c := range r.inks {
		b.done[c] = r.finished(b, c, y)
	}
	return b.done[:r.inks]
}
