package ladder

import (
	"math"

	"sizewright/internal/exact"
)

// roundValues rounds the numbers for output. Rounding never changes their order.
func (l *Ladder) roundValues() {
	round(2, &l.Pixels, &l.Effective, &l.Enlarged)
	round(4, &l.Resolution, &l.Gain)
	for i := range l.Bands {
		b := &l.Bands[i]
		round(5, &b.Low, &b.High, &b.Contrast, &b.Noise)
	}
	if r := l.Regions; r != nil {
		round(3, &r.Softest, &r.Median, &r.Sharpest)
	}
	for i := range l.Rungs {
		r := &l.Rungs[i]
		roundAbove0(1, &r.WidthMM, &r.HeightMM, &r.NativePPI, &r.CountedLeastPPI, &r.CountedMostPPI)
		round(1, &r.LeastPPI, &r.SharpPPI)
		roundAbove0(3, &r.Scale)
		roundAbove0(0, &r.SameViewMM)
		for _, v := range []*View{&r.Usual, &r.Look, &r.Near} {
			roundAbove0(0, &v.DistanceMM)
			roundAbove0(1, &v.PixelsPerDegree)
			round(4, &v.Detail)
		}
	}
}

func round(places int, values ...*float64) {
	scale := math.Pow10(places)
	for _, v := range values {
		*v = math.Round(*v*scale) / scale
	}
}

// roundAbove0 is round for values above 0: where rounding would give 0, it keeps two
// digits. That happens for pictures of a few pixels, or of one long row.
func roundAbove0(places int, values ...*float64) {
	for _, v := range values {
		round(atLeast(places, *v), v)
	}
}

// atLeast returns the number of decimal places, at least places, that keeps v above 0.
func atLeast(places int, v float64) int {
	if v > 0 && v*math.Pow10(places) < 0.5 {
		return 1 - int(math.Floor(exact.Log10(v)))
	}
	return places
}
