package main

import "math"

// moments are a picture's local mean and mean square.
type moments struct{ mean, square []float32 }

func momentsOf(y []float32, area window) moments {
	return moments{gaussian(y, area), gaussian(product(y, y), area)}
}

// similarity returns the mean structural similarity of luma: Z. Wang, A. C. Bovik,
// H. R. Sheikh, E. P. Simoncelli, "Image Quality Assessment: From Error Visibility
// to Structural Similarity", IEEE Trans. Image Processing 13 (2004): a Gaussian
// window of 11 x 11 with sigma 1.5, K1 = 0.01, K2 = 0.03, on every pixel of full
// resolution.
func similarity(ref *reference, y []float32) float64 {
	const c1, c2 = 0.01 * 0.01, 0.03 * 0.03
	got, both := momentsOf(y, ref.area), gaussian(product(y, ref.y), ref.area)
	sum, n := 0.0, 0
	ref.area.rows(func(from, to int) {
		for i := from; i < to; i++ {
			a, b := float64(ref.moment.mean[i]), float64(got.mean[i])
			va, vb := float64(ref.moment.square[i])-a*a, float64(got.square[i])-b*b
			cov := float64(both[i]) - a*b
			sum += (2*a*b + c1) * (2*cov + c2) / ((a*a + b*b + c1) * (va + vb + c2))
		}
		n += to - from
	})
	return sum / float64(n)
}

const reach = 5 // of the window, pixels either side

// weights are those of one axis of SSIM's window.
var weights = func() (w [2*reach + 1]float32) {
	sum := 0.0
	for i := -reach; i <= reach; i++ {
		sum += math.Exp(-float64(i*i) / (2 * 1.5 * 1.5))
	}
	for i := range w {
		d := float64(i - reach)
		w[i] = float32(math.Exp(-d*d/(2*1.5*1.5)) / sum)
	}
	return w
}()

// gaussian weights src by the window around each measured pixel. The border is at least 8
// pixels, so the window is always inside. Outside the area the result is 0.
func gaussian(src []float32, area window) []float32 {
	across, down := make([]float32, len(src)), make([]float32, len(src))
	tall := window{area.width, area.height, area.border - reach} // rows that the second pass reads
	tall.rows(func(from, to int) {
		from, to = from+reach, to-reach
		accumulate(across[from:to], src[from-reach:], 1)
	})
	area.rows(func(from, to int) {
		accumulate(down[from:to], across[from-reach*area.width:], area.width)
	})
	return down
}

// accumulate adds the weighted samples that start step apart.
func accumulate(dst, src []float32, step int) {
	for k, w := range weights {
		s := src[k*step:][:len(dst)]
		for i, v := range s {
			dst[i] += w * v
		}
	}
}

func product(a, b []float32) []float32 {
	p := make([]float32, len(a))
	for i := range a {
		p[i] = a[i] * b[i]
	}
	return p
}
