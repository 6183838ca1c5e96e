package render

import "math"

// Kernel is a resampling filter: At is its value at a distance in source
// pixels (output pixels when reducing), zero from Support on.
type Kernel struct {
	Name    string
	Support float64
	At      func(x float64) float64
}

// Lanczos3 is the sinc function under a sinc window of three lobes:
// C. E. Duchon, "Lanczos Filtering in One and Two Dimensions", J. Applied
// Meteorology 18 (1979).
var Lanczos3 = Kernel{Name: "lanczos3", Support: 3, At: func(x float64) float64 {
	x = math.Abs(x)
	switch {
	case x == 0:
		return 1
	case x >= 3:
		return 0
	}
	return 3 * math.Sin(math.Pi*x) * math.Sin(math.Pi*x/3) / (math.Pi * math.Pi * x * x)
}}

// near is how many of the closest source samples bound a limited result.
const near = 4

// axis is one direction of a resampling, worked out: output sample i is the
// sum over k < taps of weight[i*taps+k] * source[first[i]+k]. Beyond the
// picture's edge the edge sample goes on.
type axis struct {
	taps   int
	first  []int32
	weight []float32
	near   []int32 // first of the samples that bound output i, see near
	bound  int     // how many those are: near, or fewer in a tiny source
}

// newAxis works out out samples over source samples [origin, origin+extent)
// of a line of n.
func newAxis(k Kernel, n int, origin, extent float64, out int) *axis {
	scale := float64(out) / extent
	stretch := max(1, 1/scale) // a reduction widens the kernel
	support := k.Support * stretch
	taps := min(int(math.Ceil(2*support)), n)
	a := &axis{
		taps: taps, first: make([]int32, out), weight: make([]float32, out*taps),
		near: make([]int32, out), bound: min(near, n),
	}
	line := make([]float64, taps)
	for i := range out {
		u := origin + (float64(i)+0.5)/scale - 0.5 // centre, in source samples
		left := int(math.Floor(u-support)) + 1
		first := min(max(left, 0), n-taps)
		clear(line)
		sum := 0.0
		for s := left; float64(s) < u+support; s++ {
			w := k.At((float64(s) - u) / stretch)
			line[min(max(s, 0), n-1)-first] += w
			sum += w
		}
		for j, w := range line {
			a.weight[i*taps+j] = float32(w / sum)
		}
		a.first[i] = int32(first)
		a.near[i] = int32(min(max(int(math.Floor(u))-near/2+1, 0), n-a.bound))
	}
	return a
}

// needs is the range of source samples that outputs [from, to) use.
func (a *axis) needs(from, to int) (lo, hi int) {
	lo, hi = math.MaxInt, 0
	for i := from; i < to; i++ {
		f, m := int(a.first[i]), int(a.near[i])
		lo = min(lo, f, m)
		hi = max(hi, f+a.taps, m+a.bound)
	}
	return lo, hi
}
