package detail

import (
	"math"
	"slices"

	"sizewright/internal/exact"
)

// House judgement, no source: where a place ends.
const (
	cliff        = 1. / 8 // share of the expected power (0.35 of the contrast) that is left at a place's end
	nearest      = 1.4    // what is expected at a frequency is the mean of those this many times lower
	farthest     = 4.0    // to this
	cliffStep    = 0.2    // of a logarithm: cliffs so much lower and higher count as well
	softestRing  = 0.05   // of the grid's highest frequency, twice: no softer place is told apart
	narrowGap    = 1.6    // times the frequency over which a picture must be missing:
	middleGap    = 2.0    // all three count,
	wideGap      = 2.4    // so that what rises beyond such a gap fades
	quarterReach = 1. / 5 // of the places to either side of the upper quarter, that count less and less
	smoothing    = 16     // power is the mean over this part of the frequency, up and down
	skirt        = 0.7    // of the grid's highest frequency, from which on antialiasing and demosaicing take away,
	skirtDepth   = 1. / 4 // to what is left of the power at the end: half the amplitude, as of Lanczos' kernel
	usualFall    = 2.5    // power of frequency that the power of the sharpest places falls with: texture's 2, an edge's 3
)

// raised is a place's power by ring, over all directions, the floor taken off, times
// a power of frequency, as a logarithm: the picture's own fall is levelled, and
// what is lacking shows.
type raised struct {
	power []float64
	floor []float64 // likewise
	scale int       // how many times the picture was averaged
}

// raisedOf raises the power of a tile, of a picture averaged scale times, that falls with
// that power of frequency.
func raisedOf(ring, floor []float64, fall float64, scale int) raised {
	p := raised{make([]float64, len(floor)), make([]float64, len(floor)), scale}
	for r := 1; r < len(floor); r++ {
		reach := max(1, r/smoothing)
		lo, hi := max(1, r-reach), min(len(floor)-1, r+reach)
		sum := 0.0
		for k := lo; k <= hi; k++ {
			sum += overFloor(ring, floor, k)
		}
		lift := float64(fall * exact.Log(float64(r)))
		p.floor[r] = exact.Log(max(floor[r], math.SmallestNonzeroFloat64)) + lift
		p.power[r] = exact.Log(max(sum/float64(hi-lo+1), math.SmallestNonzeroFloat64)) + lift
	}
	return p
}

// overFloor is the mean power over the directions of a ring, without the floor.
func overFloor(ring, floor []float64, r int) (power float64) {
	for _, v := range ring[r*sectors:][:sectors] {
		power += float64(v / sectors)
	}
	return power - floor[r]
}

// expected is what a ring is to have: the mean of those a little below. They are
// sharpened as much, and only they count, so that a cliff is found whether or not
// the ground before it was lifted.
func (p raised) expected(r int) float64 {
	lo := max(1, int(math.Round(float64(r)/farthest)))
	hi := max(lo, int(math.Round(float64(r)/nearest)))
	sum := 0.0
	for i, v := range p.power[lo : hi+1] {
		sum += max(v, p.floor[lo+i])
	}
	return sum / float64(hi-lo+1)
}

// end is the frequency, as a share of the grid's highest, where the power falls off
// its own course or under the floor.
func (p raised) end() float64 { return endOfAll([]raised{p}) }

// endOfAll is the same of the upper quarter of some places at each frequency, all as one: a
// single place may miss the cliff by chance, and then seems to end nowhere. The mean over
// some cliffs and gaps is taken (of logarithms), so that a small change moves it a little.
func endOfAll(places []raised) float64 {
	sum := 0.0
	for _, higher := range [...]float64{-cliffStep, 0, cliffStep} {
		for _, gap := range [...]float64{narrowGap, middleGap, wideGap} {
			sum += exact.Log(endAt(places, higher, gap))
		}
	}
	return exact.Exp(sum / 9)
}

// endAt is the end by a cliff, and a floor, so many times higher (a logarithm). What
// rises again beyond a wide gap is no picture: an enlargement repeats there what it has
// below, and motion reverses it. The course is that before the fall: the rings of a
// defocus must come back to it, and not to what is left between them.
func endAt(places []raised, higher, gap float64) float64 {
	last := len(places[0].power) - 1
	first := max(3, int(softestRing*float64(last)))
	end, fell, before := 0.0, 0, 0.0
	over := make([]float64, len(places))
	for r := first; r <= last; r++ {
		if end == 0 {
			fell = r
		}
		for i, p := range places {
			over[i] = p.over(r, fell)
		}
		here := upperQuarter(over) - higher
		switch {
		case here > 0:
			end = 0
		case end == 0:
			end = float64(r) - crossing(before, here)
		case float64(r) >= gap*end:
			return end / float64(last)
		}
		before = here
	}
	if end == 0 {
		return 1
	}
	return end / float64(last)
}

// over is how far a ring is over the cliff and the floor (a logarithm), if the picture fell
// off its course at ring fell.
func (p raised) over(r, fell int) float64 {
	given := 0.0
	if r == fell {
		given = p.taken(r)
	}
	return min(p.power[r]-p.floor[r], p.power[r]+given-p.expected(fell)-exact.Log(cliff))
}

// upperQuarter is the mean of what lies about the upper quarter.
func upperQuarter(values []float64) float64 {
	slices.Sort(values)
	sum, weights := 0.0, 0.0
	for i, v := range values {
		at := (float64(i)+0.5)/float64(len(values)) - sharpQuarter
		w := max(1e-9, 1-float64(math.Abs(at)/quarterReach))
		sum, weights = sum+float64(w*v), weights+w
	}
	return sum / weights
}

// taken is what filters take from any picture towards the end of its own grid. It is
// given back to what has not yet ended; an averaged picture has no such end.
func (p raised) taken(r int) float64 {
	beyond := max(0, (float64(r)/float64(len(p.power)-1)-skirt)/(1-skirt))
	if p.scale > 1 {
		return 0
	}
	return -float64(beyond * beyond * exact.Log(skirtDepth))
}

// crossing is how far before the end of a step from before to after, which is not
// over zero, zero is passed: 0 to 1.
func crossing(before, after float64) float64 {
	if before <= 0 {
		return 0
	}
	return after / (after - before)
}
