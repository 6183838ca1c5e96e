package detail

import (
	"math"
	"slices"
)

// House practice, no source.
const (
	calmTiles     = 1.0 / 8 // share of the tiles that the floor is read in
	calmTilesMost = 4       // and no fewer
	pictureFall   = 2.0     // a picture's power falls with this power of frequency, or faster (see floorOf)
	noiseFall     = 0.5     // that of noise falls no faster
	slopeReach    = 0.4     // octaves over which a fall is measured
	steepNoise    = 1.5
	boundSlack    = 1.15 // by which the floor's deviation may exceed Measurement's
)

// floor is the power of noise by ring, as variance per coefficient, in mid and
// light tones, and how many times that it is in shadows.
type floor struct {
	ring []float64
	dark float64
}

// of is the floor under a tile.
func (f floor) of(p *power) float64 {
	if p.mean < darkLuma {
		return f.dark
	}
	return 1
}

// floorOf reads the floor in the calmest tiles. Calm tiles hold some picture
// still, but a picture's power falls with frequency as f^-2 or faster (D. J.
// Field, "Relations between the statistics of natural images and the response
// properties of cortical cells", JOSA A 4 (1987)), and that of noise hardly
// does, as demosaicing and JPEG blunt it. How fast the power falls at a
// frequency therefore tells which of the two it is. Noise is not
// less at a lower frequency.
//
// Where Measurement found noise in single smooth places, which tiles are too
// large to find, the floor is held to that.
func floorOf(s *survey, m Measurement, rounding float64) floor {
	f := floor{dark: 1}
	if m.Noise > 0 && m.NoiseDark > 0 {
		f.dark = m.NoiseDark * m.NoiseDark / (m.Noise * m.Noise)
	}
	calm := calmPower(s, f)
	f.ring = make([]float64, len(calm))
	level := 0.0
	for r := len(calm) - 1; r > 0; r-- {
		if r < len(calm)/4 {
			f.ring[r] = min(level, calm[r])
			continue
		}
		share := (pictureFall - fallAt(calm, r)) / (pictureFall - noiseFall)
		level = max(level, calm[r]*min(1, max(0, share)))
		f.ring[r] = min(level, calm[r])
	}
	f.ring[0] = f.ring[1]
	if m.Noise == 0 {
		f.smooth()
	} else {
		f.hold(s.rings, boundSlack*boundSlack*m.Noise*m.Noise+rounding)
	}
	for r := range f.ring {
		f.ring[r] = max(f.ring[r], rounding)
	}
	return f
}

// smooth lets the floor rise to lower frequencies no faster than steepNoise.
func (f *floor) smooth() {
	for r := len(f.ring) - 2; r > 0; r-- {
		f.ring[r] = min(f.ring[r], f.ring[r+1]*math.Pow(float64(r+1)/float64(r), steepNoise))
	}
}

// hold brings the mean over all coefficients down to a variance.
func (f *floor) hold(m *ringMap, variance float64) {
	if mean := meanOf(m, f.ring); mean > variance {
		for r := range f.ring {
			f.ring[r] *= variance / mean
		}
	}
}

// fallAt is the power of frequency that p falls with about ring r.
func fallAt(p []float64, r int) float64 {
	width := math.Pow(2, slopeReach/2)
	hi := min(len(p)-1, int(math.Ceil(float64(r)*width)))
	lo := max(1, min(r-1, int(float64(hi)/(width*width))))
	if hi-lo < 2 {
		return pictureFall
	}
	var n, sx, sy, sxx, sxy float64
	for k := lo; k <= hi; k++ {
		x, y := math.Log(float64(k)), math.Log(max(p[k], 1e-30))
		w := float64(k) // as many coefficients
		n, sx, sy, sxx, sxy = n+w, sx+w*x, sy+w*y, sxx+w*x*x, sxy+w*x*y
	}
	return -(n*sxy - sx*sy) / (n*sxx - sx*sx)
}

// calmPower is the mean power by ring of the calmest tiles, brought to light
// tones. They are picked by the upright sectors and read in the diagonal ones,
// and then the other way about (see halves.go).
func calmPower(s *survey, f floor) []float64 {
	order := make([]int, len(s.tiles))
	for i := range order {
		order[i] = i
	}
	n := min(len(order), max(calmTilesMost, int(calmTiles*float64(len(order)))))
	mean := make([]float64, s.rings.rings())
	for half := range 2 {
		fine := make([]float64, len(s.tiles))
		for i := range s.tiles {
			fine[i] = fineOf(&s.tiles[i], half) / f.of(&s.tiles[i])
		}
		slices.SortStableFunc(order, func(a, b int) int { return compare(fine[a], fine[b]) })
		for _, i := range order[:n] {
			t := &s.tiles[i]
			for r := range mean {
				p := t.ring[r*sectors+1-half] + t.ring[r*sectors+3-half]
				mean[r] += p / float64(4*n) / f.of(t)
			}
		}
	}
	return mean
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// fineOf is the power of a tile's finest octave in two sectors at a right angle.
func fineOf(p *power, half int) (sum float64) {
	rings := len(p.ring) / sectors
	for r := rings / 2; r < rings; r++ {
		sum += float64(r) * (p.ring[r*sectors+half] + p.ring[r*sectors+half+2])
	}
	return sum
}

// meanOf is the mean over all coefficients of a value by ring.
func meanOf(m *ringMap, ring []float64) float64 {
	sum, n := 0.0, 0.0
	for i, c := range m.count {
		sum += c * ring[i/sectors]
		n += c
	}
	return sum / n
}
