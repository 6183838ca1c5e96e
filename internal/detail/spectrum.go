package detail

import (
	"math"
	"slices"

	"sizewright/internal/photo"
)

// Spectrum is where a picture's contrast lies.
type Spectrum struct {
	Bands      []Band   `json:"bands"`
	Resolution float64  `json:"resolution"`
	Effective  float64  `json:"effective_mp"`
	Columns    int      `json:"columns"`
	Rows       int      `json:"rows"`
	Regions    []Region `json:"regions"`
}

// Region is one tile of the lattice.
type Region struct {
	Resolution float64 `json:"resolution"`
	Contrast   float64 `json:"contrast"`
}

const (
	leastOverNoise = 0.3
	leastContrast  = 0.004 // rms of a tile with anything to tell, noise taken off
	subjectShare   = 0.1   // of the tiles with anything to tell: the sharpest are the subject
	subjectLeast   = 4
)

// MeasureSpectrum measures
func MeasureSpectrum(src *photo.Photo, m Measurement) *Spectrum {
	n := squareSide(min(src.Width, src.Height))
	if n == 0 {
		return &Spectrum{}
	}
	s := surveyOf(src, n)
	f := floorOf(&s, m, rounding(src))
	out := &Spectrum{Columns: s.columns, Rows: s.rows, Regions: regionsOf(&s, f)}
	out.Bands = bandsOf(src, &s, f)
	out.Resolution = 2 * resolutionOf(&s, f, out.Regions) / float64(n)
	out.Effective = float64(src.Width) * float64(src.Height) / 1e6 * out.Resolution * out.Resolution
	return out
}

func bandsOf(src *photo.Photo, s *survey, f floor) []Band {
	n, reduction := s.rings.n, reductionFor(src.Width, src.Height)
	least := 2.0
	var far [bandCount]float64
	if reduction > 1 {
		least = 4
		far = coarseOf(src, reduction).variance()
	}
	scale := 0.0
	var near [bandCount]float64
	for i := range s.tiles {
		scale += f.of(&s.tiles[i]) / float64(len(s.tiles))
		for b, v := range s.tiles[i].band {
			near[b] += v / float64(len(s.tiles))
		}
	}
	var bands []Band
	for b := range bandCount {
		lo, hi := bandHigh(b+1), bandHigh(b)
		v := near[b]
		noise := 0.0
		if lo*float64(n) >= least*0.999 {
			for r, c := range s.rings.share {
				noise += scale * f.ring[r] * float64(c[b]) * 2 / float64(n*n)
			}
		} else if reduction > 1 {
			v = far[b]
			noise = scale * f.ring[4] * math.Pi * (hi*hi - lo*lo)
		} else {
			break
		}
		noise = min(noise, v)
		bands = append(bands, Band{Low: lo, High: hi, Contrast: math.Sqrt(v - noise), Noise: math.Sqrt(noise)})
	}
	return bands
}

func regionsOf(s *survey, f floor) []Region {
	regions := make([]Region, len(s.tiles))
	inParallel(len(regions), func() func(int) {
		under := make([]float64, len(f.ring))
		return func(i int) {
			t := &s.tiles[i]
			for r := range under {
				under[r] = f.ring[r] * f.of(t)
			}
			if contrastIn(s.rings, t.ring, under, 3, s.rings.n/2) < max(leastContrast, leastOverNoise*math.Sqrt(meanOf(s.rings, under))) {
				return
			}
			end := limitOf(t.ring, under)
			regions[i].Resolution = 2 * end / float64(s.rings.n)
			regions[i].Contrast = contrastIn(s.rings, t.ring, under, int(end/4), int(end))
		}
	})
	return regions
}

// contrastIn is the rms contrast in rings lo to hi, noise taken off.
func contrastIn(m *ringMap, ring, floor []float64, lo, hi int) float64 {
	sum := 0.0
	for i := lo * sectors; i < (hi+1)*sectors; i++ {
		sum += m.count[i] * (ring[i] - floor[i/sectors])
	}
	return math.Sqrt(max(0, 2*sum)) / float64(m.n)
}

func resolutionOf(s *survey, f floor, regions []Region) float64 {
	strength := make([]float64, len(s.tiles))
	var told []int
	for i := range s.tiles {
		if regions[i].Resolution == 0 {
			continue
		}
		told = append(told, i)
		for r := 3; r < s.rings.rings(); r++ {
			for q := range sectors {
				strength[i] += max(0, s.tiles[i].ring[r*sectors+q]-f.ring[r]*f.of(&s.tiles[i])) * math.Pow(float64(r), strPow)
			}
		}
	}
	if len(told) == 0 {
		return 0
	}
	slices.SortStableFunc(told, func(a, b int) int { return compare(strength[b], strength[a]) })
	told = told[:min(len(told), max(subjectLeast, int(subjectShare*float64(len(s.tiles)))))]
	rings := s.rings.rings()
	share := make([]float64, len(told))
	pooled, under := make([]float64, rings*sectors), make([]float64, rings)
	level := make([]float64, len(told))
	for j, i := range told {
		for r := 3; r < rings; r++ {
			for q := range sectors {
				level[j] += math.Max(0, s.tiles[i].ring[r*sectors+q]-f.ring[r]*f.of(&s.tiles[i])) * float64(r*r)
			}
		}
	}
	for at := range pooled {
		for j, i := range told {
			share[j] = (s.tiles[i].ring[at]) / level[j]
		}
		slices.Sort(share)
		pooled[at] = (share[len(share)/2] + share[(len(share)-1)/2]) / 2
	}
	for r := range under {
		for j, i := range told {
			share[j] = f.ring[r] * f.of(&s.tiles[i]) / level[j]
		}
		slices.Sort(share)
		under[r] = share[len(share)/2]
	}
	return limitOf(pooled, under)
}
