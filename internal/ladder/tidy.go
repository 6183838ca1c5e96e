package ladder

import "math"

// tidy rounds what is printed to what is worth printing. Rounding never turns an
// order round.
func (l *Ladder) tidy() {
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
		round(1, &r.WidthMM, &r.HeightMM, &r.NativePPI)
		round(3, &r.Scale, &r.Missing.LowPerMM, &r.Missing.HighPerMM)
		round(0, &r.SameViewMM)
		for _, v := range []*View{&r.Usual, &r.Look, &r.Near} {
			round(0, &v.DistanceMM)
			round(1, &v.PixelsPerDegree)
			round(4, &v.Detail, &v.SoftnessChance)
			round(3, &v.Softness)
		}
	}
}

func round(places int, values ...*float64) {
	scale := math.Pow10(places)
	for _, v := range values {
		*v = math.Round(*v*scale) / scale
	}
}
