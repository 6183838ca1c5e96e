package detail

import (
	"cmp"
	"math"
	"slices"

	"sizewright/internal/exact"
)

// House judgement, no source, but for pictureFall.
const (
	calmTiles     = 1.0 / 8 // share of the tiles that the floor is read in
	calmTilesMost = 4       // and no fewer
	pictureFall   = 2.0     // a picture's power falls with this power of frequency, or faster
	noiseFall     = 0.5     // that of noise falls no faster
	fallReach     = 0.4     // octaves over which a fall is measured
	floorFrom     = 1.0 / 4 // of the highest frequency: below it the floor is taken to go on level
	unsureFall    = 1.5     // the floor's fall is held to this where no smooth place bears it out
	unevenNoise   = 1.5     // times the noise of one direction, by which chance may let that of all exceed it
	boundSlack    = 1.15    // by which the floor's deviation may exceed that of smooth places
)

// floor is noise: its power by ring, as variance per coefficient, in mid and
// light tones; and how many times that it is in shadows.
type floor struct {
	ring []float64
	dark float64
}

// under is how many times the floor lies under a tile.
func (f floor) under(t *power) float64 {
	if t.mean < darkLuma {
		return f.dark
	}
	return 1
}

// floorOf reads the floor in the calmest tiles. Calm tiles hold some picture
// still, but a picture's power falls with frequency as f^-2 or faster (D. J.
// Field, "Relations between the statistics of natural images and the response
// properties of cortical cells", JOSA A 4 (1987)), and that of noise hardly
// does, though demosaicing and JPEG blunt it. How fast power falls at a
// frequency therefore tells how much of it is noise; and noise is no less at a
// lower frequency.
//
// The floor is then held to m, which was read in smooth places smaller than a
// tile: textures flatter than f^-2 would pass for noise. EXIF's ISO is not asked
// here, since what a file's noise is hangs on how it was developed and reduced; see
// [LightNoise] for what it is held against.
func floorOf(s *survey, m noise, rounding float64) floor {
	f := floor{dark: 1}
	if m.light > 0 && m.dark > 0 {
		f.dark = m.dark * m.dark / (m.light * m.light)
	}
	f.ring = f.withoutTexture(calmPower(s, f))
	if m.light > 0 {
		f.hold(s.rings, float64(boundSlack*boundSlack*m.light*m.light)+rounding)
	} else {
		f.level()
	}
	for r := range f.ring {
		f.ring[r] = max(f.ring[r], rounding)
	}
	return f
}

// noiseIn parts noise from picture in the power by ring.
func noiseIn(calm []float64) []float64 {
	noise := make([]float64, len(calm))
	level := 0.0
	for r := len(calm) - 1; r > 0; r-- {
		if r >= int(floorFrom*float64(len(calm))) {
			share := (pictureFall - fallAt(calm, r)) / (pictureFall - noiseFall)
			level = max(level, calm[r]*min(1, max(0, share)))
		}
		noise[r] = min(level, calm[r])
	}
	return noise
}

// fallAt is the power of frequency that p falls with about ring r.
func fallAt(p []float64, r int) float64 {
	width := exact.Exp2(fallReach / 2)
	hi := min(len(p)-1, int(math.Ceil(float64(r)*width)))
	return fallBetween(p, max(1, int(float64(hi)/(width*width))), hi)
}

// fallBetween is the same from ring lo to hi, by least squares; each ring counts by the
// number of its coefficients.
func fallBetween(p []float64, lo, hi int) float64 {
	var n, sx, sy, sxx, sxy float64
	for k := lo; k <= hi; k++ {
		w, x, y := float64(k), exact.Log(float64(k)), exact.Log(max(p[k], math.SmallestNonzeroFloat64))
		n, sx, sy, sxx, sxy = n+w, sx+float64(w*x), sy+float64(w*y), sxx+float64(w*x*x), sxy+float64(w*x*y)
	}
	return -(float64(n*sxy) - float64(sx*sy)) / (float64(n*sxx) - float64(sx*sx))
}

// hold brings the mean over all coefficients down to a variance.
func (f *floor) hold(m *ringMap, variance float64) {
	if mean := m.mean(f.ring); mean > variance {
		for r := range f.ring {
			f.ring[r] *= variance / mean
		}
	}
}

// level lets the floor rise to lower frequencies no faster than unsureFall.
func (f *floor) level() {
	for r := len(f.ring) - 2; r > 0; r-- {
		rise := exact.Pow(float64(r+1)/float64(r), unsureFall)
		f.ring[r] = min(f.ring[r], rise*f.ring[r+1])
	}
}

// calmPower is, by sector, the mean power by ring of the calmest tiles, brought to
// light tones. They are picked by their upright sectors and read in the diagonal
// ones, and then the other way about: see halves.go.
func calmPower(s *survey, f floor) (mean [sectors][]float64) {
	n := min(len(s.tiles), max(calmTilesMost, int(calmTiles*float64(len(s.tiles)))))
	for half := range 2 {
		for _, sector := range [2]int{1 - half, 3 - half} {
			mean[sector] = make([]float64, s.rings.rings())
			for _, i := range s.calmest(n, half, f) {
				t := &s.tiles[i]
				for r := range mean[sector] {
					mean[sector][r] += t.ring[r*sectors+sector] / (float64(n) * f.under(t))
				}
			}
		}
	}
	return mean
}

// withoutTexture is the noise in the mean of the sectors, but hardly more than any of them
// has: noise has no direction, so what only some of them have is a texture, as ripples.
func (f *floor) withoutTexture(calm [sectors][]float64) []float64 {
	mean := make([]float64, len(calm[0]))
	for r := range mean {
		for _, c := range calm {
			mean[r] += float64(c[r] / sectors)
		}
	}
	noise := noiseIn(mean)
	for _, c := range calm {
		for r, v := range noiseIn(c) {
			noise[r] = min(noise[r], unevenNoise*v)
		}
	}
	return noise
}

// calmest is the n tiles with the least power in the finest octave of two
// sectors at a right angle.
func (s *survey) calmest(n, half int, f floor) []int {
	order, fine := make([]int, len(s.tiles)), make([]float64, len(s.tiles))
	for i := range s.tiles {
		t := &s.tiles[i]
		order[i] = i
		for r := s.rings.n / 4; r <= s.rings.n/2; r++ {
			fine[i] += float64(float64(r) * (t.ring[r*sectors+half] + t.ring[r*sectors+half+2]))
		}
		fine[i] /= f.under(t)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(fine[a], fine[b]) })
	return order[:n]
}

// mean is the mean over all coefficients of a value by ring.
func (m *ringMap) mean(ring []float64) float64 {
	sum, n := 0.0, 0.0
	for i, c := range m.count {
		sum += float64(c * ring[i/sectors])
		n += c
	}
	return sum / n
}
