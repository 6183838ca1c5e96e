package render

// interleave16 writes the band's rows as 16-bit samples, pixel by pixel.
func interleave16(dst []uint16, b *band, from *block, channels int) []uint16 {
	dst = grow(dst, (b.bottom-b.top)*from.width*channels)
	for y := b.top; y < b.bottom; y++ {
		out := dst[(y-b.top)*from.width*channels:][:from.width*channels]
		for c := range channels {
			i := c
			for _, v := range from.row(c, y) {
				out[i] = uint16(v*65535 + 0.5)
				i += channels
			}
		}
	}
	return dst
}

// interleave8 writes the band's rows as 8-bit samples, pixel by pixel, with
// an even noise of one step's width added before rounding down (rectangular
// dither: L. G. Roberts, "Picture coding using pseudo-random noise", IRE
// Trans. Inf. Theory 8, 1962). The noise depends on the place alone, so a
// picture gives the same bytes every time; a value that 8 bits can hold
// exactly stays that value.
func interleave8(dst []uint8, b *band, from *block, channels int) []uint8 {
	dst = grow(dst, (b.bottom-b.top)*from.width*channels)
	for y := b.top; y < b.bottom; y++ {
		out := dst[(y-b.top)*from.width*channels:][:from.width*channels]
		for c := range channels {
			i := c
			for x, v := range from.row(c, y) {
				out[i] = uint8((uint32(v*(255*256)+0.5) + noise(x, y, c)) >> 8)
				i += channels
			}
		}
	}
	return dst
}

// noise is 0..255, evenly spread over places: the low-bias integer hash of
// C. Wellons ("Prospecting for hash functions", 2018).
func noise(x, y, c int) uint32 {
	h := uint32(x) + uint32(y)*0x9e3779b9 + uint32(c)*0x85ebca6b
	h ^= h >> 16
	h *= 0x7feb352d
	h ^= h >> 15
	h *= 0x846ca68b
	h ^= h >> 16
	return h >> 24
}
