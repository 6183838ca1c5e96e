package render

import (
	"math"

	"sizewright/internal/exact"
)

// NoiseThreshold returns the t for which the mask m q/(q+t²) makes noise grow by the
// factor allowed. The noise has standard deviation 1 and is white up to edge, in cycles
// a pixel, in both directions.
//
// The mask is Gaussian noise of its own standard deviation d. The part of it that
// remains acts on the noise like the mask times k = E[x⁴/(x²+(t/d)²)], x a standard
// normal variable (the best linear fit; the rest is a little more noise, which the tests
// of the print find small). With c the mean of the response and d² that of its square,
// the noise's variance becomes 1 + 2 k c + k² d².
func NoiseThreshold(edge, allowed float64, response func(fx, fy float64) float64) float64 {
	c, d2 := meansOf(edge, response)
	if d2 == 0 {
		return 0
	}
	// 1 + 2 k c + k² d² = allowed²
	k := (math.Sqrt(float64(c*c)+float64(d2*(float64(allowed*allowed)-1))) - c) / d2
	if k >= 1 {
		return 0
	}
	lo, hi := 0.0, 100.0
	for range 50 {
		if mid := (lo + hi) / 2; kept(mid) > k {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi * math.Sqrt(d2)
}

// meansOf returns the mean of a response and of its square over a band.
func meansOf(edge float64, response func(fx, fy float64) float64) (mean, square float64) {
	const steps = 48
	for i := range steps {
		for j := range steps {
			v := response(edge*(float64(i)+0.5)/steps, edge*(float64(j)+0.5)/steps)
			mean += v / (steps * steps)
			square += v * v / (steps * steps)
		}
	}
	return mean, square
}

// kept returns E[x⁴/(x²+t²)], x a standard normal variable, by the trapezium rule.
func kept(t float64) float64 {
	const steps, end = 400, 8.0
	sum := 0.0
	for i := 1; i <= steps; i++ {
		x := end * float64(i) / steps
		sum += float64(x * x * x * x / (float64(x*x) + float64(t*t)) * exact.Exp(-x*x/2))
	}
	return 2 * sum * end / steps / math.Sqrt(2*math.Pi)
}
