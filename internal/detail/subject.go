package detail

import (
	"cmp"
	"slices"

	"sizewright/internal/exact"
)

// House practice, no source: which tiles are the subject.
const (
	subjectShare = 0.1 // of all tiles
	subjectLeast = 4   // and no fewer, where there are so many
	subjectPower = 3   // of frequency, that power is weighed with: fine detail before contrast
)

// resolutionOf is the true resolution of the whole picture, as a share of the
// grid: that of its subject, which are the tiles with the most fine detail, for
// a background may be soft on purpose. shaken is what a shake left, which is 1 if
// there is no trace of one.
func resolutionOf(s *survey, f floor, regions []Region) (resolution, shaken float64) {
	subject := subjectOf(s, f, regions)
	if len(subject) == 0 {
		return 0, 1
	}
	length := s.shake(f, subject)
	return min(s.share(s.endOf(f, subject, length)), s.stored(f, subject)), shakenTo(length)
}

// endOf is where the subject ends, in cycles per tile. Where a shake shows its comb,
// that says what motion took, and the directions need not be held against each other.
// Picture is then seen to the first zero and beyond: a fall among the long waves, long
// before it, is no end.
func (s *survey) endOf(f floor, subject []int, shake float64) float64 {
	ring, under := pooledOf(s, f, subject)
	if shake == 0 {
		return limitOf(ring, under)
	}
	end, zero := toldBy(ring, under).agreed(under), float64(s.rings.n)/shake
	if end > 0 && end <= longLast && gap*end < zero {
		return shakenShare * zero
	}
	return min(end, shakenShare*zero)
}

// pooledOf is the power of tiles together, by ring and sector, and the floor under
// it. Every tile has one voice whatever its contrast, and the median counts, so
// that a few letters set sharp into a soft picture do not speak for it.
func pooledOf(s *survey, f floor, subject []int) (pooled, under []float64) {
	rings := s.rings.rings()
	level := make([]float64, len(subject))
	for j, i := range subject {
		level[j] = s.weigh(i, f, 2)
	}
	voice := make([]float64, len(subject))
	median := func(of func(tile int) float64) float64 {
		for j, i := range subject {
			voice[j] = of(i) / level[j]
		}
		slices.Sort(voice)
		return (voice[(len(voice)-1)/2] + voice[len(voice)/2]) / 2
	}
	pooled, under = make([]float64, rings*sectors), make([]float64, rings)
	for at := range pooled {
		pooled[at] = median(func(i int) float64 { return s.tiles[i].ring[at] })
	}
	for r := range under {
		under[r] = median(func(i int) float64 { return f.under(&s.tiles[i]) * f.ring[r] })
	}
	return pooled, under
}

// subjectOf is the tiles with the most fine detail.
func subjectOf(s *survey, f floor, regions []Region) (subject []int) {
	fine := make([]float64, len(regions))
	for i, r := range regions {
		if r.Resolution > 0 {
			fine[i] = s.weigh(i, f, subjectPower)
			subject = append(subject, i)
		}
	}
	slices.SortStableFunc(subject, func(a, b int) int { return cmp.Compare(fine[b], fine[a]) })
	most := max(subjectLeast, int(subjectShare*float64(len(regions))))
	return subject[:min(len(subject), most)]
}

// weigh sums a tile's power over the floor, times a power of frequency.
func (s *survey) weigh(tile int, f floor, by float64) (sum float64) {
	t := &s.tiles[tile]
	dark := f.under(t)
	for r := longFirst; r < s.rings.rings(); r++ {
		weight := exact.Pow(float64(r), by)
		for _, v := range t.ring[r*sectors:][:sectors] {
			sum += float64(weight * max(0, v-float64(dark*f.ring[r])))
		}
	}
	return sum
}
