package detail

import (
	"cmp"
	"slices"

	"sizewright/internal/exact"
)

// House judgement, no source: which tiles are the subject, in which a shake is looked for.
const (
	subjectShare = 0.1 // of all tiles
	subjectLeast = 4   // and no fewer, where there are so many
	subjectPower = 3   // of frequency, that power is weighed with: fine detail before contrast
	longFirst    = 3   // cycles per tile: longer waves are the window's
)

// subjectOf is the tiles with the most fine detail, of those that tell anything.
func subjectOf(s *survey, f floor) (subject []int) {
	fine := make([]float64, len(s.tiles))
	for i := range s.tiles {
		if t := &s.tiles[i]; s.rings.tells(t.ring, f.beneath(t)) {
			fine[i] = s.weigh(i, f, subjectPower)
			subject = append(subject, i)
		}
	}
	slices.SortStableFunc(subject, func(a, b int) int { return cmp.Compare(fine[b], fine[a]) })
	most := max(subjectLeast, int(subjectShare*float64(len(s.tiles))))
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
