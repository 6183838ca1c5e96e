package detail

import (
	"math"
	"slices"

	"sizewright/internal/exact"
)

// House practice, no source: directions beside each other.
const (
	longFirst, longLast = 3, 8 // cycles per tile: long waves, which motion of a few pixels leaves alone
	longUsed            = 12   // to which a sector must have something to tell
	populated           = 0.05 // of the strongest sector's power in long waves; less is leakage from it
	beside              = 0.1  // share of another direction's power, where long waves have the same, that is motion's end
	besideGap           = 1.5  // times the frequency over which it must be missing
	soonAfter           = 1.2  // times the frequency: ends of one softness
	longAfter           = 1.5  // the same: ends of two textures
	besideReach         = 1.25 // times the frequency, up and down, that the other direction is taken over
)

// limitOf is the highest frequency, in cycles per tile, to which a picture goes
// on; 0 if it has nothing to tell. Softness ends all directions, so the finer half
// of them must end: one alone may be a texture's, as ripples have. But what
// one direction lacks all the way beside another, from where both have the
// same, is lost to motion; and a shaken picture is as fine as its worst
// direction, for nobody sees sharpness across the motion as detail, and no print
// of it can be larger. Directions with hardly any picture have no say.
func limitOf(ring, floor []float64) float64 {
	p := toldBy(ring, floor)
	limit := p.agreed(floor)
	for s := range p {
		for other := range p {
			if other != s && p[s] != nil && p[other] != nil {
				limit = min(limit, p[s].endBeside(p[other]))
			}
		}
	}
	return limit
}

// told is the raised power of the sectors that have something to tell; nil for others.
type told [sectors]raised

func toldBy(ring, floor []float64) (p told) {
	for _, s := range tellingSectors(ring, floor) {
		p[s] = raisedOf(ring, floor, s)
	}
	return p
}

// agreed is where the directions end, 0 if none tells anything: see agreed.
func (p told) agreed(floor []float64) float64 {
	var ends []float64
	for _, r := range p {
		if r != nil {
			ends = append(ends, r.end(floor))
		}
	}
	if len(ends) == 0 {
		return 0
	}
	return agreed(ends)
}

// agreed is where the directions end: where the first does, if the finer half of
// them end soon after; where that half begins, if long after; and between, between.
func agreed(ends []float64) float64 {
	slices.Sort(ends)
	first, half := ends[0], ends[len(ends)/2]
	if first <= 0 {
		return half
	}
	share := exact.Log(half/first/soonAfter) / exact.Log(longAfter/soonAfter)
	return first * exact.Pow(half/first, min(1, max(0, share)))
}

// tellingSectors are those with power enough in long waves.
func tellingSectors(ring, floor []float64) (telling []int) {
	var long [sectors]float64
	for r := longFirst; r <= longUsed; r++ {
		for s := range long {
			long[s] += float64(max(0, ring[r*sectors+s]-floor[r]) * float64(r*r))
		}
	}
	for s, v := range long {
		if v > 0 && v >= populated*slices.Max(long[:]) {
			telling = append(telling, s)
		}
	}
	return telling
}

// endBeside is where p has fallen away from another direction for good. Motion's
// blur falls slowly beyond its first end, no steeper than an edge's power, so that
// it cannot be told from its own course. But it never comes back, as a
// direction does that has only less of a texture of some size.
func (p raised) endBeside(other raised) float64 {
	level := p.usual(longFirst, longLast) - other.usual(longFirst, longLast) + exact.Log(beside)
	line := func(r, _ int) float64 {
		if r <= longLast {
			return math.Inf(-1)
		}
		return level + other.usual(int(float64(r)/besideReach), int(float64(r)*besideReach))
	}
	end := p.firstUnder(besideGap, line)
	over := make([]float64, 0, len(p))
	for r := max(longLast+1, int(end)+1); r < len(p); r++ {
		over = append(over, p[r]-line(r, r))
	}
	if slices.Sort(over); len(over) > 0 && over[len(over)/2] > 0 {
		return float64(len(p) - 1)
	}
	return end
}
