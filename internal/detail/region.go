package detail

import "math"

// Region is one tile of the lattice.
type Region struct {
	// Resolution is as Spectrum.Resolution, of this place alone; 0 where there is
	// no picture to tell it from, as in a clear sky. No softer place is told
	// apart than 0.1.
	Resolution float64 `json:"resolution"`

	// Contrast is the rms contrast of luma, noise taken off, in the two finest
	// octaves below the place's own resolution.
	Contrast float64 `json:"contrast"`
}

// House practice, no source: a place with less has nothing to tell.
const (
	leastContrast  = 0.004 // rms
	leastOverNoise = 0.3   // of the noise's standard deviation; chance alone gives 0.2
)

func regionsOf(s *survey, f floor) []Region {
	regions := make([]Region, len(s.tiles))
	inParallel(len(regions), func() func(int) {
		under := make([]float64, len(f.ring))
		return func(i int) { regions[i] = s.region(i, f, under) }
	})
	return regions
}

// region judges one tile; under is scratch.
func (s *survey) region(i int, f floor, under []float64) Region {
	t := &s.tiles[i]
	for r := range under {
		under[r] = f.under(t) * f.ring[r]
	}
	noise := math.Sqrt(s.rings.mean(under))
	if s.rings.contrast(t.ring, under, longFirst, len(under)-1) < max(leastContrast, leastOverNoise*noise) {
		return Region{}
	}
	end := limitOf(t.ring, under)
	if s.blocks != nil {
		end = min(end, s.cycles(s.blocks[i].bound(stepping)))
	}
	return Region{s.share(end), s.rings.contrast(t.ring, under, int(end/4), int(end))}
}

// share is a frequency in cycles per tile as a share of the grid's highest.
func (s *survey) share(cycles float64) float64 { return 2 * cycles / float64(s.rings.n) }

// cycles is the other way about.
func (s *survey) cycles(share float64) float64 { return share * float64(s.rings.n) / 2 }

// contrast is the rms contrast in rings lo to hi, the floor taken off.
func (m *ringMap) contrast(ring, floor []float64, lo, hi int) float64 {
	sum := 0.0
	for i := lo * sectors; i < (hi+1)*sectors; i++ {
		sum += float64(m.count[i] * (ring[i] - floor[i/sectors]))
	}
	return math.Sqrt(2*max(0, sum)) / float64(m.n)
}
