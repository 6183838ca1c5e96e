package detail

import "math"

// House judgement, no source.
const (
	lags     = 16       // px: products are taken with neighbours up to this far
	patch    = 16       // px: side of the squares that are brought to one strength
	leastRms = 5. / 255 // curvature, rms, with which a patch counts half: weaker is JPEG's blocks more than picture
)

// lagged is, along the rows and along the columns, the product of a tile's
// curvature at each place and lag pixels on, summed over its lines: by lag*n +
// place.
type lagged [2][]float32

// lagger takes tiles of n x n pixels to their lagged products. It holds scratch:
// one for each goroutine.
type lagger struct {
	n      int
	turned []float32 // the tile with its rows for columns
	curve  []float32 // second difference along the rows
	line   []float32 // a row of it, brought to an even strength
	gains  []float32 // of the patches across
}

func newLagger(n int) *lagger {
	return &lagger{n, make([]float32, n*n), make([]float32, n*n), make([]float32, n), make([]float32, n/patch)}
}

// of takes the products of a tile whose rows begin stride values apart.
func (l *lagger) of(pix []float32, stride int) lagged {
	rows := l.along(pix, stride)
	for y := range l.n {
		for x, v := range pix[y*stride:][:l.n] {
			l.turned[x*l.n+y] = v
		}
	}
	return lagged{rows, l.along(l.turned, l.n)}
}

// along takes the products along the rows.
func (l *lagger) along(pix []float32, stride int) []float32 {
	n := l.n
	for y := range n {
		in, out := pix[y*stride:][:n], l.curve[y*n:][:n]
		for x := 1; x+1 < n; x++ {
			out[x] = in[x-1] - 2*in[x] + in[x+1]
		}
	}
	sum := make([]float32, (lags+1)*n)
	for y := range n {
		if y%patch == 0 {
			l.measure(y)
		}
		l.even(y)
		for lag := range lags + 1 {
			b := l.line[lag:]
			a, to := l.line[:len(b)], sum[lag*n:][:len(b)]
			for x, v := range b {
				to[x] += float32(a[x] * v)
			}
		}
	}
	return sum
}

// measure sets the gains of the patches that begin at row y.
func (l *lagger) measure(y int) {
	for i := range l.gains {
		sum := float32(0)
		for j := range patch {
			for _, v := range l.curve[(y+j)*l.n+i*patch:][:patch] {
				sum += float32(v * v)
			}
		}
		l.gains[i] = float32(1 / math.Sqrt(float64(float64(sum)/(patch*patch))+leastRms*leastRms))
	}
}

// even brings row y to an even strength, so that a few strong edges do not speak
// for the picture. The gain goes straight from the middle of a patch to the next,
// since steps of it would be a pattern of their own.
func (l *lagger) even(y int) {
	last := len(l.gains) - 1
	for x, v := range l.curve[y*l.n:][:l.n] {
		i := max(0, (x-patch/2)/patch)
		next := l.gains[min(last, i+1)]
		part := min(1, max(0, float32((float32(x)+0.5)/patch)-0.5-float32(i)))
		l.line[x] = v * (l.gains[i] + float32(part*(next-l.gains[i])))
	}
}
