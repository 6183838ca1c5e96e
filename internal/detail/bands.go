package detail

import (
	"math"

	"sizewright/internal/exact"
)

// bandCount is how many bands a large picture has: half octaves over six octaves.
const bandCount = 12

// Band is a half octave of spatial frequency.
type Band struct {
	Low  float64 `json:"low"`  // cycles per pixel: High divided by the root of 2
	High float64 `json:"high"` // cycles per pixel: 0.5 for the first, the Low of the band before for the others

	// Contrast is the rms contrast of the picture in the band, its noise taken
	// off: the standard deviation of luma (encoded, 0..1), as the root of the
	// mean of the tiles' variances.
	Contrast float64 `json:"contrast"`

	// Noise is the standard deviation of what was taken off.
	Noise float64 `json:"noise"`
}

// bandHigh is where band b begins at its fine end, in cycles per pixel.
func bandHigh(b int) float64 { return 0.5 * exact.Pow(2, -float64(b)/2) }

// bandOf is the band of a frequency in cycles per pixel; -1 for none.
func bandOf(f float64) int {
	b := int(math.Floor(-2 * exact.Log2(2*f) * (1 + 1e-12)))
	if f > 0.5 || b >= bandCount {
		return -1
	}
	return b
}

// Cycles per tile from which a band is read in the picture's own tiles: where
// there is a coarse picture for longer waves, and where there is none.
const (
	leastCycles     = 4
	leastCyclesOnly = 2
)

// bandsOf are the bands that a picture of w x h is large enough for; less is it
// averaged by less than reductionFor, or as much.
func bandsOf(w, h int, less coarse, s *survey, f floor) (bands []Band) {
	near, least := s.variance(), float64(leastCyclesOnly)
	var far [bandCount]float64
	reduction := reductionFor(w, h)
	if reduction > 1 {
		far, least = less.to(reduction).variance(), leastCycles
	}
	toneScale := s.meanUnder(f)
	for b := range bandCount {
		low, high := bandHigh(b+1), bandHigh(b)
		all, noise := near[b], s.rings.inBand(f.ring, b)
		if low*float64(s.rings.n) < least*(1-1e-9) {
			if reduction == 1 {
				break
			}
			all, noise = far[b], f.ring[leastCycles]*math.Pi*(float64(high*high)-float64(low*low))
		}
		noise = min(all, toneScale*noise)
		bands = append(bands, Band{low, high, math.Sqrt(all - noise), math.Sqrt(noise)})
	}
	return bands
}

// variance is the mean variance in each band over the tiles.
func (s *survey) variance() (mean [bandCount]float64) {
	for i := range s.tiles {
		for b, v := range s.tiles[i].band {
			mean[b] += v / float64(len(s.tiles))
		}
	}
	return mean
}

// meanUnder is how many times the floor lies under the tiles, on average.
func (s *survey) meanUnder(f floor) (mean float64) {
	for i := range s.tiles {
		mean += f.under(&s.tiles[i]) / float64(len(s.tiles))
	}
	return mean
}

// inBand is the variance in a band of power by ring.
func (m *ringMap) inBand(ring []float64, b int) (sum float64) {
	for r, c := range m.share {
		sum += float64(float64(c[b]) * ring[r])
	}
	return 2 * sum / float64(m.n*m.n)
}
