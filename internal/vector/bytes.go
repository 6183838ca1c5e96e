package vector

// Bytes converts 8-bit samples to float32: dst[i] = src[i]*scale + offset.
//
// src must have at least n = len(dst) bytes.
func Bytes(dst []float32, src []byte, scale, offset float32) {
	checkLen("Bytes", "src", len(src), len(dst))
	i := bytesWide(dst, src, scale, offset)
	bytesPlain(dst[i:], src[i:], scale, offset)
}

func bytesPlain(dst []float32, src []byte, scale, offset float32) {
	src = src[:len(dst)]
	for i, v := range src {
		dst[i] = float32(float32(v)*scale) + offset
	}
}
