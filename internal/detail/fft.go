package detail

import (
	"math"
	"math/bits"

	"sizewright/internal/exact"
)

// fourier transforms squares of n x n values, n a power of two: J. W. Cooley
// and J. W. Tukey, "An algorithm for the machine calculation of complex Fourier
// series", Mathematics of Computation 19 (1965), decimation in time. It is not
// scaled. It may be used by any number of goroutines.
type fourier struct {
	n    int
	turn []complex128 // from half on: exp(-pi i k/half), k under half
	swap []int        // k with its bits reversed
}

func newFourier(n int) *fourier {
	f := &fourier{n: n, turn: make([]complex128, n), swap: make([]int, n)}
	for half := 1; half < n; half *= 2 {
		for k := range half {
			f.turn[half+k] = exact.Rect(1, -2*math.Pi*float64(k*(n/2/half))/float64(n))
		}
	}
	shift := 64 - bits.Len(uint(n-1))
	for k := range f.swap {
		f.swap[k] = int(bits.Reverse64(uint64(k)) >> shift)
	}
	return f
}

// line transforms n values in place.
func (f *fourier) line(x []complex128) {
	x = x[:f.n]
	for k, r := range f.swap {
		if k < r {
			x[k], x[r] = x[r], x[k]
		}
	}
	for k := 1; k < len(x); k += 2 { // half 1, whose only turn is 1
		x[k-1], x[k] = x[k-1]+x[k], x[k-1]-x[k]
	}
	for half := 2; half < f.n; half *= 2 {
		turn := f.turn[half : 2*half]
		for from := 0; from < f.n; from += 2 * half {
			lo, hi := x[from:][:len(turn)], x[from+half:][:len(turn)]
			for k, w := range turn {
				u, v := lo[k], exact.Times(hi[k], w)
				lo[k], hi[k] = u+v, u-v
			}
		}
	}
}

// square transforms n rows of n values in place; column is scratch of n values.
func (f *fourier) square(x, column []complex128) {
	for y := range f.n {
		f.line(x[y*f.n:][:f.n])
	}
	for i := range f.n {
		for y := range column {
			column[y] = x[y*f.n+i]
		}
		f.line(column)
		for y, v := range column {
			x[y*f.n+i] = v
		}
	}
}
