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

// House judgement, no source: a place with less has nothing to tell.
const (
	leastContrast  = 0.004 // rms
	leastOverNoise = 0.3   // of the noise's standard deviation; chance alone gives 0.2
)

func regionsOf(s *survey, f floor, fall float64) []Region {
	regions := make([]Region, len(s.tiles))
	inParallel(len(regions), func() func(int) {
		return func(i int) { regions[i] = s.region(i, f, fall) }
	})
	return regions
}

// region judges one tile.
func (s *survey) region(i int, f floor, fall float64) Region {
	t := &s.tiles[i]
	under := f.beneath(t)
	if !s.rings.tells(t.ring, under) {
		return Region{}
	}
	end := raisedOf(t.ring, under, fall, 1).end()
	if s.blocks != nil {
		end = min(end, s.blocks[i].bound(stepping))
	}
	last := s.cycles(end)
	return Region{end, s.rings.contrast(t.ring, under, int(last/4), int(last))}
}

// tells reports whether a place has more than noise.
func (m *ringMap) tells(ring, under []float64) bool {
	noise := math.Sqrt(m.mean(under))
	return m.contrast(ring, under, longFirst, len(under)-1) >= max(leastContrast, leastOverNoise*noise)
}

// cycles is a share of the grid's highest frequency in cycles per tile.
func (s *survey) cycles(share float64) float64 { return share * float64(s.rings.n) / 2 }

// contrast is the rms contrast in rings lo to hi, the floor taken off.
func (m *ringMap) contrast(ring, floor []float64, lo, hi int) float64 {
	sum := 0.0
	for i := lo * sectors; i < (hi+1)*sectors; i++ {
		sum += float64(m.count[i] * (ring[i] - floor[i/sectors]))
	}
	return math.Sqrt(2*max(0, sum)) / float64(m.n)
}
