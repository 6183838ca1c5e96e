package ladder

import (
	"math"

	"sizewright/internal/printsize"
	"sizewright/internal/vision"
)

// needs returns the smallest rung that shows enough detail. For a picture with hardly
// any detail that is the first.
func (s scene) needs(rungs []Rung) Limit {
	enough := func(pitch float64) bool { return s.detail(pitch, s.lookDistance(pitch)) >= s.options.Share }
	var l Limit
	for _, r := range rungs {
		if s.fine.plain || r.Look.Detail >= s.options.Share {
			l.Rung = r.Name
			break
		}
	}
	if s.fine.plain {
		return l
	}
	return s.at(l, enough, math.Ceil)
}

// carries returns the largest rung that the file carries.
func (s scene) carries(rungs []Rung) Limit {
	tooSmall := func(pitch float64) bool { return s.verdict("", s.whole(pitch)) == vision.TooSmall }
	var l Limit
	for _, r := range rungs {
		if r.Verdict != vision.TooSmall {
			l.Rung = r.Name
		}
	}
	return s.at(l, tooSmall, math.Floor)
}

// at adds to a limit the print size at which a condition begins to hold. If it holds
// for one size it holds for every larger one, so bisection finds it.
func (s scene) at(l Limit, holds func(pitch float64) bool, whole func(float64) float64) Limit {
	if len(s.options.Distances) > 0 {
		return l
	}
	long := max(s.width, s.height)
	lo, hi := printsize.MinSideMM/long, printsize.MaxSideMM/long
	if holds(lo) || !holds(hi) {
		return l
	}
	for hi/lo > 1+1e-6 {
		if mid := math.Sqrt(lo * hi); holds(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	l.WidthMM, l.HeightMM = whole(hi*s.width), whole(hi*s.height)
	return l
}
