package vector

// Cubic applies a cubic curve to dst in place. Each v, clamped to 0..1, becomes
//
//	v + k * v * (1-v) * (2v-1)
//
// and is clamped to 0..1 again. The curve passes through (0, 0), (1/2, 1/2) and (1, 1),
// with slope 1 + k/2 in the middle and 1 - k at the ends. It rises everywhere for k
// from -2 to 1. A negative k makes it steeper at the ends and flatter in the middle.
func Cubic(dst []float32, k float32) {
	cubicPlain(dst[cubicWide(dst, k):], k)
}

func cubicPlain(dst []float32, k float32) {
	for i, v := range dst {
		v = min(max(v, 0), 1)
		bend := k * v * (1 - v) * (v + v - 1)
		dst[i] = min(max(v+float32(bend), 0), 1)
	}
}
