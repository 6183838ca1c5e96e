package vector

// Interleave16 converts planes to pixels of 16-bit samples: dst[i*len(planes)+p] is
// 65535*planes[p][i], rounded to nearest (halves up). The values must be within 0..1.
//
// Interleave16 panics if len(dst) is not a multiple of len(planes). Each plane must
// have at least n = len(dst)/len(planes) samples. Only three and four planes have a
// wide loop.
func Interleave16(dst []uint16, planes ...[]float32) {
	if len(planes) == 0 || len(dst)%len(planes) != 0 {
		panic("vector.Interleave16: dst is not a whole number of pixels")
	}
	n := len(dst) / len(planes)
	for _, plane := range planes {
		checkLen("Interleave16", "a plane", len(plane), n)
	}
	interleave16Plain(dst, planes, interleave16Wide(dst, planes))
}

// interleave16Plain computes the pixels starting at from.
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
