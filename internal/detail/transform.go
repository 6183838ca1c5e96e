package detail

import (
	"math"
	"math/cmplx"

	"sizewright/internal/exact"
)

// transformer takes squares to their power. It holds scratch: one for each
// goroutine.
type transformer struct {
	fourier *fourier
	rings   *ringMap
	fade    []float64    // the window along one side
	gain    []float64    // by coefficient along one side: what reducing took off, to be given back
	square  []complex128 // the square, then its transform
	column  []complex128
}

// newTransformer is for squares of n x n pixels, n a power of two, each the mean
// of reduction x reduction pixels of the picture.
func newTransformer(n, reduction int) *transformer {
	t := &transformer{
		fourier: newFourier(n), rings: newRingMap(n, reduction),
		fade: make([]float64, n), gain: make([]float64, n),
		square: make([]complex128, n*n), column: make([]complex128, n),
	}
	for i := range n {
		t.fade[i] = 1 - exact.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))
		f := float64((i+n/2)%n-n/2) / float64(n) // cycles per reduced pixel
		t.gain[i] = 1 / boxResponse(f, reduction)
	}
	return t
}

// boxResponse is what the mean of r pixels leaves of a wave of f cycles in that
// length: sin(pi f) / (r sin(pi f/r)).
func boxResponse(f float64, r int) float64 {
	if f == 0 || r == 1 {
		return 1
	}
	return exact.Sin(math.Pi*f) / (float64(r) * exact.Sin(math.Pi*f/float64(r)))
}

// power is where the power of a square lies.
type power struct {
	// ring holds, by ring*sectors + sector, the mean over the coefficients
	// there, so scaled that white noise has its variance everywhere.
	ring  []float64
	plane []float32          // of every coefficient, as ringMap.at has them
	band  [bandCount]float64 // the variance in each band
	mean  float64            // of the square
}

// of transforms a square whose rows begin stride values apart.
func (t *transformer) of(pix []float32, stride int) power {
	clear(t.square)
	mean := t.window(pix, stride, 1)
	t.fourier.square(t.square, t.column)
	return t.power(mean, func(i, _ int) complex128 { return t.square[i] })
}

// ofTwo transforms two squares at once, for the price of one: the one as the real
// part and the other as the imaginary one. What of the sum's transform is a real
// square's, and so the conjugate of its twin at minus the frequency, is the
// first's; the rest is the second's. (E. O. Brigham, The Fast Fourier Transform,
// 1974, has it for signals; from memory.)
func (t *transformer) ofTwo(first, second []float32, stride int) (a, b power) {
	clear(t.square)
	meanA, meanB := t.window(first, stride, 1), t.window(second, stride, 1i)
	t.fourier.square(t.square, t.column)
	a = t.power(meanA, func(i, twin int) complex128 { return (t.square[i] + cmplx.Conj(t.square[twin])) / 2 })
	b = t.power(meanB, func(i, twin int) complex128 { return (t.square[i] - cmplx.Conj(t.square[twin])) / 2 })
	return a, b
}

// power gathers the squares of coefficients.
func (t *transformer) power(mean float64, coefficient func(i, twin int) complex128) power {
	n, m := t.rings.n, t.rings
	p := power{ring: make([]float64, m.rings()*sectors), plane: make([]float32, len(m.at)), mean: mean}
	each := 2 / float64(n*n) // of a coefficient and its twin in the variance
	for i, at := range m.at {
		if at < 0 {
			continue
		}
		c := coefficient(i, (n-i/n)%n*n+(n-i%n)%n)
		re, im, g := real(c), imag(c), t.gain[i%n]*t.gain[i/n]
		v := float64((float64(re*re) + float64(im*im)) * g * g)
		p.ring[at] += v
		p.plane[i] = float32(v)
		if b := m.band[i]; b >= 0 {
			p.band[b] += float64(each * v)
		}
	}
	for i, c := range m.count {
		if c > 0 {
			p.ring[i] /= c
		}
	}
	return p
}

// window lays the square, about its mean, under a raised cosine (Hann's window):
// a square cut out of a picture does not join at its sides, and that step would
// be taken for fine detail. It is added to what is there, times part. The mean is
// returned.
func (t *transformer) window(pix []float32, stride int, part complex128) float64 {
	n := t.rings.n
	mean := 0.0
	for y := range n {
		line := 0.0
		for x, v := range pix[y*stride:][:n] {
			line += float64(t.fade[x] * float64(v))
		}
		mean += float64(t.fade[y] * line)
	}
	mean /= float64(n * n) // fade has the mean 1
	const meanSquare = 1.5 // of fade, along each side
	scale := 1 / (meanSquare * float64(n))
	for y := range n {
		for x, v := range pix[y*stride:][:n] {
			t.square[y*n+x] += exact.Scaled(part, scale*t.fade[y]*t.fade[x]*(float64(v)-mean))
		}
	}
	return mean
}
