package detail

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"
)

// The definition: the sum of x(j) exp(-2 pi i jk/n).
func TestTheTransformIsItsDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for _, n := range []int{2, 4, 32, 128} {
		x := make([]complex128, n)
		for i := range x {
			x[i] = complex(r.NormFloat64(), r.NormFloat64())
		}
		got := append([]complex128(nil), x...)
		newFourier(n).line(got)
		for k := range got {
			var want complex128
			for j, v := range x {
				want += v * cmplx.Rect(1, -2*math.Pi*float64(j*k%n)/float64(n))
			}
			if cmplx.Abs(got[k]-want) > 1e-12*float64(n) {
				t.Fatalf("%d values, coefficient %d: %v, want %v", n, k, got[k], want)
			}
		}
	}
}

func TestAWaveOfASquareIsOneCoefficientAndItsTwin(t *testing.T) {
	const n, kx, ky = 32, 5, 3
	x := make([]complex128, n*n)
	for i := range x {
		x[i] = complex(math.Cos(2*math.Pi*(kx*float64(i%n)+ky*float64(i/n))/n), 0)
	}
	newFourier(n).square(x, make([]complex128, n))
	for i, v := range x {
		want := 0.0
		if i == ky*n+kx || i == (n-ky)*n+n-kx {
			want = n * n / 2
		}
		if cmplx.Abs(v-complex(want, 0)) > 1e-9 {
			t.Fatalf("coefficient (%d, %d): %v, want %v", i%n, i/n, v, want)
		}
	}
}
