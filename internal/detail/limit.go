package detail

import (
	"math"
	"slices"
)

// House practice: the frequencies a limit is judged by.
const (
	XX = 0

	firstRing = 6    // cycles per tile: nothing softer is told apart
	populated = 0.05 // of the strongest sector's power, in the long waves: less is no picture but leakage
)

// limitOf is the highest frequency, in cycles per tile, to which the power of a
// picture goes on as pictures do; that of the worst direction which has anything
// to tell. 0 if none has.
func limitOf(ring, floor []float64) float64 {
	var limits []float64
	var long [sectors]float64
	for s := range sectors {
		for r := 2; r <= 2*firstRing; r++ {
			long[s] += max(0, ring[r*sectors+s]-floor[r]) * float64(r*r)
		}
	}
	for s := range sectors {
		if long[s] > 0 && long[s] >= populated*slices.Max(long[:]) {
			limits = append(limits, limitAlong(ring, floor, s))
		}
	}
	if len(limits) == 0 {
		return 0
	}
	return slices.Min(limits)
}

// limitAlong is the limit of one sector.
func limitAlong(ring, floor []float64, sector int) float64 {
	n := len(floor)
	raised := make([]float64, n) // log of power, less its usual fall
	noisy := make([]float64, n)  // log of the floor, alike
	for r := 1; r < n; r++ {
		reach := max(1, r/smoothing)
		sum, weight := 0.0, 0.0
		for k := max(1, r-reach); k <= min(n-1, r+reach); k++ {
			sum += (ring[k*sectors+sector] - floor[k]) * math.Pow(float64(k), 2+furtherFall)
			weight++
		}
		usual := math.Pow(float64(r), 2+furtherFall)
		raised[r] = math.Log(max(sum/weight, 1e-6*floor[r]*usual))
		noisy[r] = math.Log(floor[r] * usual)
	}
	expected := expectedOf(raised)
	over := func(r int) float64 {
		return raised[r] - max(noisy[r], expected[r]+math.Log(cliff))
	}
	end, before := 0.0, over(firstRing-1)
	for r := firstRing; r < n; r++ {
		now := over(r)
		switch {
		case now >= 0:
			end = 0
		case end == 0:
			end = float64(r)
			if before > now {
				end -= min(1, now/(now-before))
			}
		case float64(r) >= end*gap:
			return end
		}
		before = now
	}
	if end > 0 {
		return end
	}
	return float64(n - 1)
}

// expectedOf is what the power at a frequency should be
func expectedOf(raised []float64) []float64 {
	expected := make([]float64, len(raised))
	for r := 3; r < len(raised); r++ {
		lo := max(2, int(float64(r)/farthest))
		hi := max(lo+2, int(float64(r)/nearest))
		near := slices.Clone(raised[lo:min(hi+1, len(raised))])
		slices.Sort(near)
		expected[r] = near[len(near)/2]
		if r > firstRing {
			expected[r] = max(expected[r], expected[r-1]-decline*math.Log(float64(r)/float64(r-1)))
		}
	}
	return expected
}

const smoothing = 20
