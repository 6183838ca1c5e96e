package render

import (
	"math"

	"sizewright/internal/exact"
	"sizewright/internal/vector"
)

// blurKernel is the weights of a Gaussian blur along one axis, at distances
// -reach..reach, summing to 1. An empty one means no blur.
type blurKernel []float32

func (k blurKernel) reach() int { return len(k) / 2 }

// gaussian samples a continuous Gaussian of the given sigma for a raster: the inverse
// Fourier transform of its response exp(-2 pi² sigma² f²) over the frequencies of the
// raster. So a narrow blur has the same effect on paper at every ppi, which plain
// samples of the Gaussian would not have. It reaches three sigma and a pixel.
func gaussian(sigma float64) blurKernel {
	reach := int(math.Ceil(3*sigma)) + 1
	w, sum := make([]float64, 2*reach+1), 0.0
	for i := range w {
		w[i] = inverse(func(f float64) float64 { return GaussianResponse(sigma, f) }, float64(i-reach))
		sum += w[i]
	}
	k := make(blurKernel, len(w))
	for i := range w {
		k[i] = float32(w[i] / sum)
	}
	return k
}

// GaussianResponse returns the share of a sine's contrast that a Gaussian of that sigma
// keeps, at f cycles per unit.
func GaussianResponse(sigma, f float64) float64 {
	return exact.Exp(-2 * math.Pi * math.Pi * sigma * sigma * f * f)
}

// inverse returns the inverse Fourier transform at x of an even response over -1/2 to
// 1/2 cycle a pixel, by Simpson's rule.
func inverse(response func(f float64) float64, x float64) float64 {
	const steps = 512
	sum := 0.0
	for i := 0; i <= steps; i++ {
		f := 0.5 * float64(i) / steps
		weight := float64(2 + 2*(i%2))
		if i == 0 || i == steps {
			weight = 1
		}
		sum += float64(weight * response(f) * exact.Cos(2*math.Pi*f*x))
	}
	return 2 * sum * 0.5 / steps / 3
}

// blurrer blurs rows of a grid. It reuses its memory.
type blurrer struct {
	rows       [][]float32
	column     []float32
	one, other []float32
}

// scratch returns two rows of n values for results.
func (b *blurrer) scratch(n int) (one, other []float32) {
	b.one, b.other = grow(b.one, n), grow(b.other, n)
	return b.one, b.other
}

// row blurs columns [left, right) of row y of a grid in both directions, into dst. The
// grid has margins as wide as the kernel's reach at its sides. Beyond the rows first to
// last, the outermost row is repeated.
func (b *blurrer) row(dst []float32, g *grid, y, left, right int, k blurKernel, first, last int) {
	h := k.reach()
	rows := b.rows[:0]
	for d := -h; d <= h; d++ {
		rows = append(rows, g.span(min(max(y+d, first), last-1), left-h, right+h))
	}
	b.column = grow(b.column, right-left+2*h)
	vector.WeightedSum(b.column, rows, k)
	for i := range rows {
		rows[i] = b.column[i : i+right-left]
	}
	vector.WeightedSum(dst, rows, k)
	b.rows = rows
}
