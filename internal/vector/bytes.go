package vector

// Bytes makes dst[i] = src[i]*scale + offset: samples of 8 bits, as a decoder
// gives them, as numbers.
//
// n is len(dst); src has n bytes at least.
func Bytes(dst []float32, src []byte, scale, offset float32) {
	enough("Bytes", "src", len(src), len(dst))
	i := bytesWide(dst, src, scale, offset)
	bytesPlain(dst[i:], src[i:], scale, offset)
}

func bytesPlain(dst []float32, src []byte, scale, offset float32) {
	src = src[:len(dst)]
	for i, v := range src {
		dst[i] = float32(float32(v)*scale) + offset
	}
}
