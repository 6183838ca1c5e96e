package render

import "sizewright/internal/vector"

// interleave16 writes the tile as 16-bit samples, pixel by pixel, to its place in
// the band.
func interleave16(dst []uint16, r *Renderer, b *band) {
	for y := b.top; y < b.bottom; y++ {
		at := ((y-b.top)*r.plan.Print.Width + b.left) * r.inks
		vector.Interleave16(dst[at:][:(b.right-b.left)*r.inks], r.finishedRow(b, y)...)
	}
}

// interleave8 writes the tile as 8-bit samples, pixel by pixel, with
// an even noise of one step's width added before rounding down (rectangular
// dither: L. G. Roberts, "Picture coding using pseudo-random noise", IRE
// Trans. Inf. Theory 8, 1962). The noise depends on the place alone, so a
// picture gives the same bytes every time; a value that 8 bits can hold
// exactly stays that value.
func interleave8(dst []uint8, r *Renderer, b *band) {
	for y := b.top; y < b.bottom; y++ {
		at := ((y-b.top)*r.plan.Print.Width + b.left) * r.inks
		out := dst[at:][:(b.right-b.left)*r.inks]
		for c, row := range r.finishedRow(b, y) {
			i := c
			for x, v := range row {
				out[i] = uint8((uint32(float32(v*(255*256))+0.5) + noise(b.left+x, y, c)) >> 8)
				i += r.inks
			}
		}
	}
}

// noise is 0..255, evenly spread over places.
func noise(x, y, c int) uint32 {
	return hash(uint32(x)+uint32(y)*0x9e3779b9+uint32(c)*0x85ebca6b) >> 24
}
