package detail

import (
	"math"
	"slices"

	"sizewright/internal/exact"
)

// House practice, no source: where a picture ends.
const (
	cliff     = 0.1  // share of the expected power (0.32 of the contrast) that is left at a picture's end
	nearest   = 1.4  // what is expected at a frequency is the usual of those this many times lower
	farthest  = 4.0  // to this
	firstRing = 6    // cycles per tile: no softer picture is told apart
	gap       = 2.0  // times the frequency over which a picture must be missing
	smoothing = 16   // power is the mean over this part of the frequency, up and down
	unseen    = 1e-6 // of the floor: power that is less than nothing after the floor is taken off
)

// raised is a sector's power by ring, the floor taken off, times the square of
// frequency, as a logarithm: a picture's own fall (see pictureFall) is levelled,
// and what is lacking shows.
type raised []float64

func raisedOf(ring, floor []float64, sector int) raised {
	p := make(raised, len(floor))
	for r := 1; r < len(p); r++ {
		reach := max(1, r/smoothing)
		lo, hi := max(1, r-reach), min(len(p)-1, r+reach)
		sum := 0.0
		for k := lo; k <= hi; k++ {
			sum += float64((ring[k*sectors+sector] - floor[k]) * float64(k*k))
		}
		p[r] = exact.Log(max(sum/float64(hi-lo+1), unseen*floor[r]*float64(r*r), math.SmallestNonzeroFloat64))
	}
	return p
}

// usual is the median of rings lo to hi, which a periodic weave's single strong
// ring does not move.
func (p raised) usual(lo, hi int) float64 {
	near := slices.Clone(p[lo : min(hi, len(p)-1)+1])
	slices.Sort(near)
	return near[len(near)/2]
}

// end is the frequency, in cycles per tile, where a picture's power falls off
// its own course. Only the frequencies just below count for its course: they
// are sharpened as much, and are of an edge (whose power falls with f^-3) or
// of texture (f^-2) alike. So a cliff is found whether or not the ground before
// it was lifted. What rises again beyond a wide gap is no picture: an
// enlargement repeats there what it has below, and motion reverses it. The
// course is that before the fall: the rings of a defocus must come back to it, and
// not to what is left between them.
func (p raised) end(floor []float64) float64 {
	return p.firstUnder(gap, func(r, fell int) float64 {
		lo := max(2, int(float64(fell)/farthest))
		course := p.usual(lo, max(lo+2, int(float64(fell)/nearest)))
		return max(exact.Log(floor[r]*float64(r*r)), course+exact.Log(cliff))
	})
}

// firstUnder is the frequency from which the power stays under a line until it
// is gap times as high, or to the last ring. The line may depend on where the
// power fell under it, which is the ring itself where it has not.
func (p raised) firstUnder(gap float64, line func(ring, fell int) float64) float64 {
	end, fell := 0.0, 0
	before := p[firstRing-1] - line(firstRing-1, firstRing-1)
	for r := firstRing; r < len(p); r++ {
		if end == 0 {
			fell = r
		}
		over := p[r] - line(r, fell)
		switch {
		case over >= 0:
			end = 0
		case end == 0:
			end = float64(r) - crossing(before, over)
		case float64(r) >= gap*end:
			return end
		}
		before = over
	}
	if end == 0 {
		return float64(len(p) - 1)
	}
	return end
}

// crossing is how far before the end of a step from before to after, which is
// below zero, zero is passed: 0 to 1.
func crossing(before, after float64) float64 {
	if before <= 0 {
		return 0
	}
	return after / (after - before)
}
