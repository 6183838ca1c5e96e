package main

import "math"

// score is the result of one enlargement.
type score struct {
	psnr    float64 // of luma, dB
	ssim    float64
	over    float64 // mean overshoot at edges, per cent of full scale
	over999 float64 // its 99.9th percentile
	rgb     float64 // PSNR of the three channels together, dB
}

// fields returns the score's figures in the order of the table and of the CSV.
func (s *score) fields() []*float64 {
	return []*float64{&s.psnr, &s.ssim, &s.over, &s.over999, &s.rgb}
}

// mean returns the arithmetic mean of each figure.
func mean(scores []score) (m score) {
	for i := range scores {
		for k, v := range scores[i].fields() {
			*m.fields()[k] += *v / float64(len(scores))
		}
	}
	return m
}

// reference is the picture with which enlargements by one factor are compared, and what all
// comparisons need of it.
type reference struct {
	*raster
	factor int
	area   window
	y      []float32
	edges  []edge
	moment moments
}

// window is the part of a picture that is measured.
type window struct{ width, height, border int }

// rows calls f with the index range of each measured row.
func (w window) rows(f func(from, to int)) {
	for y := w.border; y < w.height-w.border; y++ {
		f(y*w.width+w.border, (y+1)*w.width-w.border)
	}
}

func newReference(r *raster, factor int) *reference {
	ref := &reference{raster: r, factor: factor, area: window{r.width, r.height, 4 * factor}, y: r.luma()}
	ref.edges = edgesOf(ref.y, ref.area, factor)
	ref.moment = momentsOf(ref.y, ref.area)
	return ref
}

// score measures an enlargement of the reference's own size.
func (ref *reference) score(r *raster) score {
	y := r.luma()
	s := score{psnr: psnr(ref.area, [][]float32{ref.y}, [][]float32{y})}
	s.rgb = psnr(ref.area, ref.plane[:], r.plane[:])
	s.ssim = similarity(ref, y)
	s.over, s.over999 = overshoot(ref.edges, y)
	return s
}

// psnr is the peak signal to noise ratio in dB, full scale 1; +Inf for equals.
func psnr(area window, want, got [][]float32) float64 {
	sum, n := 0.0, 0
	for c := range want {
		area.rows(func(from, to int) {
			for i := from; i < to; i++ {
				d := float64(got[c][i]) - float64(want[c][i])
				sum += d * d
			}
			n += to - from
		})
	}
	return -10 * math.Log10(sum/float64(n))
}
