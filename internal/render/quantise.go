package render

import "sizewright/internal/vector"

// interleave16 writes the tile as interleaved 16-bit samples, at its position in the
// canvas.
func interleave16(dst []uint16, r *Renderer, b *band) {
	for y := b.from; y < b.to; y++ {
		if row, ok := r.canvas.row(y); ok {
			vector.Interleave16(place(dst, r, b, y), r.finishedRow(b, row)...)
		}
	}
}

// interleave8 writes the tile as interleaved 8-bit samples. It adds uniform noise one
// step wide before rounding down (rectangular dither: L. G. Roberts, "Picture coding
// using pseudo-random noise", IRE Trans. Inf. Theory 8, 1962). The noise depends only on
// the position, so a picture gives the same bytes every time. A value that 8 bits hold
// exactly keeps that value.
func interleave8(dst []uint8, r *Renderer, b *band) {
	for y := b.from; y < b.to; y++ {
		row, ok := r.canvas.row(y)
		if !ok {
			continue
		}
		out := place(dst, r, b, y)
		for c, values := range r.finishedRow(b, row) {
			i := c
			for x, v := range values {
				out[i] = uint8((uint32(float32(v*(255*256))+0.5) + noise(b.left+x, row, c)) >> 8)
				i += r.inks
			}
		}
	}
}

// place returns the samples of the tile's columns in canvas row y.
func place[T sample](dst []T, r *Renderer, b *band, y int) []T {
	at := ((y-b.from)*r.canvas.width + r.canvas.picture.X + b.left) * r.inks
	return dst[at:][:(b.right-b.left)*r.inks]
}

// noise returns 0..255, evenly distributed over positions.
func noise(x, y, c int) uint32 {
	return hash(uint32(x)+uint32(y)*0x9e3779b9+uint32(c)*0x85ebca6b) >> 24
}
