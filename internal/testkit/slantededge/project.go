package slantededge

import (
	"fmt"
	"math"
)

// oversample is how many bins of the edge spread function go to a pixel.
const oversample = 4

// emptyBins is the share of bins that may lack a pixel; they are filled from
// their neighbours. Slopes such as 1/2 leave far more.
const emptyBins = 0.05

// A spread is an edge spread function: the mean value in bins of a quarter
// pixel along the edge's normal, the line in the middle, dark to light.
type spread struct {
	half   float64 // px on each side
	values []float64
}

// position returns the position of bin i's middle, px from the edge.
func (s *spread) position(i int) float64 {
	return (float64(i)+0.5)/oversample - s.half
}

// project lays every pixel along the edge's normal.
func (u upright) project(line straight) (*spread, error) {
	from, to := wholeCycles(line.slope, u.h)
	cosine := 1 / math.Hypot(1, line.slope)
	bins := 2 * int(u.room(line, from, to)*cosine*oversample)
	s := &spread{half: float64(bins) / 2 / oversample, values: make([]float64, bins)}
	b := make([]bin, bins)
	for y := from; y < to; y++ {
		edge := line.at(float64(y) + 0.5)
		for x, v := range u.row(y) {
			d := (float64(x) + 0.5 - edge) * cosine
			if i := int(math.Floor((d + s.half) * oversample)); i >= 0 && i < bins {
				b[i].pixels++
				b[i].value += v
				b[i].offset += d - s.position(i)
			}
		}
	}
	return s, s.settle(b)
}

// A bin gathers pixels: their values, and how far each lies from its middle.
type bin struct {
	pixels        int
	value, offset float64
}

// wholeCycles keeps the middle rows over which the edge moves a whole number of
// pixels, so that each phase of the grid counts alike.
func wholeCycles(slope float64, h int) (from, to int) {
	step := math.Abs(slope)
	rows := int(math.Round(math.Floor(step*float64(h)) / step))
	rows = min(rows, h)
	return (h - rows) / 2, (h-rows)/2 + rows
}

// settle turns sums into means and fills what no pixel fell into. Where the
// slope is near a simple fraction, 1/5 say, pixels crowd to one end of a bin, and
// the pattern beats along the spread; so each mean is moved to its bin's middle
// along the spread's own slope.
func (s *spread) settle(bins []bin) error {
	empty := 0
	for i, b := range bins {
		if b.pixels == 0 {
			empty++
			continue
		}
		s.values[i] = b.value / float64(b.pixels)
	}
	if float64(empty) > emptyBins*float64(len(bins)) {
		return fmt.Errorf("%w: %d of %d quarter-pixel bins have no pixel; turn the edge to about 5 degrees", ErrAngle, empty, len(bins))
	}
	s.fill(bins)
	slope := s.slope(bins)
	for i, b := range bins {
		if b.pixels > 0 {
			s.values[i] -= slope[i] * b.offset / float64(b.pixels)
		}
	}
	s.fill(bins)
	return nil
}

// slope returns the slope of the spread in its units a px, between the neighbours' mean positions.
func (s *spread) slope(bins []bin) []float64 {
	at := func(i int) float64 { return s.position(i) + bins[i].offset/float64(max(bins[i].pixels, 1)) }
	slope := make([]float64, len(bins))
	for i := 1; i < len(bins)-1; i++ {
		slope[i] = (s.values[i+1] - s.values[i-1]) / (at(i+1) - at(i-1))
	}
	return slope
}

// fill gives empty bins the straight line between their neighbours.
func (s *spread) fill(bins []bin) {
	last := -1
	for i, b := range bins {
		if b.pixels == 0 {
			continue
		}
		for j := last + 1; j < i; j++ {
			s.values[j] = s.values[i]
			if last >= 0 {
				t := float64(j-last) / float64(i-last)
				s.values[j] = s.values[last] + t*(s.values[i]-s.values[last])
			}
		}
		last = i
	}
	for j := last + 1; j < len(bins); j++ {
		s.values[j] = s.values[last]
	}
}

// plateaus returns the medians of the outer quarter on each side.
func (s *spread) plateaus() (low, high float64) {
	n := len(s.values) / 4
	return median(s.values[:n]), median(s.values[len(s.values)-n:])
}
