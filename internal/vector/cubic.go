package vector

// Cubic bends dst in place: each v, held to 0..1, becomes
//
//	v + k * v * (1-v) * (2v-1)
//
// held to 0..1 again: the cubic through (0, 0), (1/2, 1/2) and (1, 1) whose
// slope at the middle is 1 + k/2 and at the ends 1 - k. It rises everywhere
// for k from -2 to 1; below 0 it steepens the ends and flattens the middle.
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
