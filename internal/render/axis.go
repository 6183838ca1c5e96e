package render

import (
	"math"

	"sizewright/internal/vector"
)

// axis holds the weights of a resampling along one direction: output sample i is the
// sum over k < taps of weight[i*taps+k] * source[first[i]+k]. Beyond the source's ends,
// at most margin samples, the end samples are repeated.
type axis struct {
	n      int
	taps   int     // even: half of them before the output's position
	first  []int32 // may be negative; first+taps may exceed n
	weight []float32
}

// newAxis computes the weights of out samples over source samples
// [origin, origin+extent) of a line of n.
func newAxis(k Kernel, n int, origin, extent float64, out int) *axis {
	scale := float64(out) / extent
	stretch := max(1, 1/scale) // a reduction widens the kernel
	taps := 2 * int(math.Ceil(k.Support*stretch))
	a := &axis{n: n, taps: taps, first: make([]int32, out), weight: make([]float32, out*taps)}
	line := make([]float64, taps)
	for i := range out {
		u := origin + (float64(i)+0.5)/scale - 0.5 // centre, in source samples
		first := int(math.Floor(u)) - taps/2 + 1
		sum := 0.0
		for j := range line {
			line[j] = k.At((float64(first+j) - u) / stretch)
			sum += line[j]
		}
		for j, w := range line {
			a.weight[i*taps+j] = float32(w / sum)
		}
		a.first[i] = int32(first)
	}
	return a
}

// margin is how many samples are read beyond the source's ends, with a few more for
// the wide loops.
func (a *axis) margin() int { return a.taps/2 + 8 }

// weights returns the weights of output i.
func (a *axis) weights(i int) []float32 { return a.weight[i*a.taps : (i+1)*a.taps] }

// needs returns the range of source samples that outputs [from, to) use.
func (a *axis) needs(from, to int) (lo, hi int) {
	return min(max(int(a.first[from]), 0), a.n-1), max(min(int(a.first[to-1])+a.taps, a.n), 1)
}

// resampler returns the axis for lines with margin samples before the first.
func (a *axis) resampler(margin int) *vector.Resampler {
	first := make([]int32, len(a.first))
	for i, f := range a.first {
		first[i] = f + int32(margin)
	}
	return vector.NewResampler(first, a.weight, a.taps)
}
