package vector

// Interleave16 makes planes into pixels of 16-bit samples: sample p of pixel
// i, dst[i*len(planes)+p], is planes[p][i], which must be within 0..1, as a share
// of 65535 to the nearest (halves up).
//
// There are n = len(dst)/len(planes) pixels, without a remainder or it panics;
// each plane has n samples at least. Three and four planes have a wide loop.
func Interleave16(dst []uint16, planes ...[]float32) {
	if len(planes) == 0 || len(dst)%len(planes) != 0 {
		panic("vector.Interleave16: dst is not a whole number of pixels")
	}
	n := len(dst) / len(planes)
	for _, plane := range planes {
		enough("Interleave16", "a plane", len(plane), n)
	}
	interleave16Plain(dst, planes, interleave16Wide(dst, planes))
}

// interleave16Plain makes the pixels from from on.
func interleave16Plain(dst []uint16, planes [][]float32, from int) {
	n, step := len(dst)/len(planes), len(planes)
	for p, plane := range planes {
		at := from*step + p
		for _, v := range plane[from:n] {
			dst[at] = uint16(float32(v*65535) + 0.5)
			at += step
		}
	}
}
