package detail

import (
	"math"
	"slices"
)

// House practice, no source: directions beside each other.
const (
	longFirst, longLast = 3, 8 // cycles per tile: long waves, which motion of a few pixels leaves alone
	longUsed            = 12   // to which a sector must have something to tell
	populated           = 0.05 // of the strongest sector's power in long waves; less is leakage from it
	beside              = 0.1  // share of another direction's power, where long waves have the same, that is motion's end
	besideGap           = 1.5  // times the frequency over which it must be missing
	besideReach         = 1.25 // times the frequency, up and down, that the other direction is taken over
)

// limitOf is the highest frequency, in cycles per tile, to which a picture goes
// on; 0 if it has nothing to tell. A picture is as fine as its worst direction:
// a shaken one is sharp across the motion, but nobody sees that as detail, and
// no print of it can be larger. Directions with hardly any picture have no
// say.
func limitOf(ring, floor []float64) float64 {
	told := tellingSectors(ring, floor)
	var p [sectors]raised
	for _, s := range told {
		p[s] = raisedOf(ring, floor, s)
	}
	limit := 0.0
	for i, s := range told {
		end := p[s].end(floor)
		for _, other := range told {
			if other != s {
				end = min(end, p[s].endBeside(p[other]))
			}
		}
		if i == 0 || end < limit {
			limit = end
		}
	}
	return limit
}

// tellingSectors are those with power enough in long waves.
func tellingSectors(ring, floor []float64) (told []int) {
	var long [sectors]float64
	for r := longFirst; r <= longUsed; r++ {
		for s := range long {
			long[s] += max(0, ring[r*sectors+s]-floor[r]) * float64(r*r)
		}
	}
	for s, v := range long {
		if v > 0 && v >= populated*slices.Max(long[:]) {
			told = append(told, s)
		}
	}
	return told
}

// endBeside is where p has fallen away from another direction. Motion's blur
// falls slowly beyond its first end, no steeper than an edge's power, so that
// it cannot be told from its own course.
func (p raised) endBeside(other raised) float64 {
	level := p.usual(longFirst, longLast) - other.usual(longFirst, longLast) + math.Log(beside)
	return p.firstUnder(besideGap, func(r int) float64 {
		if r <= longLast {
			return math.Inf(-1)
		}
		return level + other.usual(int(float64(r)/besideReach), int(float64(r)*besideReach))
	})
}
