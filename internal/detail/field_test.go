package detail

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"
)

// field is a random texture of side x side pixels (a power of two) whose
// amplitude is what spectrum says at (fx, fy), in cycles per pixel; of mean 0.5
// and standard deviation 0.1. It is made of white noise by a Fourier transform.
func field(side int, spectrum func(fx, fy float64) float64) picture {
	f := newFourier(side)
	x, column := slices.Clone(white(side)), make([]complex128, side)
	for i, v := range x {
		fx, fy := frequency(i%side, side), frequency(i/side, side)
		a := 0.0
		if i > 0 {
			a = spectrum(fx, fy)
		}
		x[i] = complex(a*real(v), -a*imag(v)) // conjugate: the next transform goes back
	}
	f.square(x, column)
	p, sum := picture{side, side, make([]float64, side*side)}, 0.0
	for _, v := range x {
		sum += real(v) * real(v)
	}
	for i, v := range x {
		p.v[i] = 0.5 + 0.1*real(v)/math.Sqrt(sum/float64(side*side))
	}
	return p
}

// white is the transform of white noise over a square, always the same. Nobody changes it.
func white(side int) []complex128 {
	whites.Lock()
	defer whites.Unlock()
	if whites.of[side] == nil {
		r, x := rand.New(rand.NewPCG(7, 9)), make([]complex128, side*side)
		for i := range x {
			x[i] = complex(r.NormFloat64(), 0)
		}
		newFourier(side).square(x, make([]complex128, side))
		whites.of[side] = x
	}
	return whites.of[side]
}

var whites = struct {
	sync.Mutex
	of map[int][]complex128
}{of: map[int][]complex128{}}

// frequency is that of coefficient k of n, in cycles per pixel.
func frequency(k, n int) float64 { return float64((k+n/2)%n-n/2) / float64(n) }

// pink is the spectrum of natural pictures, amplitude 1/f, cut off sharp at a
// share of the grid's highest frequency.
func pink(limit float64) func(fx, fy float64) float64 {
	return func(fx, fy float64) float64 {
		f := math.Hypot(fx, fy)
		if f > limit/2 {
			return 0
		}
		return 1 / f
	}
}

// seenThrough is pink to the corners, less what a blur takes.
func seenThrough(blur func(fx, fy float64) float64) func(fx, fy float64) float64 {
	whole := pink(2)
	return func(fx, fy float64) float64 { return whole(fx, fy) * blur(fx, fy) }
}

// gaussian is what a blur of sigma pixels leaves of a wave.
func gaussian(sigma float64) func(fx, fy float64) float64 {
	return func(fx, fy float64) float64 {
		return math.Exp(-2 * math.Pi * math.Pi * sigma * sigma * (fx*fx + fy*fy))
	}
}

// motion is what a straight path of so many pixels leaves, at an angle.
func motion(length, degrees float64) func(fx, fy float64) float64 {
	s, c := math.Sincos(degrees * math.Pi / 180)
	return func(fx, fy float64) float64 {
		return math.Abs(math.Sin(math.Pi*length*(c*fx+s*fy)+1e-12)) / math.Abs(math.Pi*length*(c*fx+s*fy)+1e-12)
	}
}
