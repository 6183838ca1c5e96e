package roll

import "math"

// perMM is the number of units in a millimetre, as fine as a drop folder's name can say.
// mostMM limits every length, so that areas fit int64, and mostWidthMM the roll's width,
// so that rowWidth takes little memory.
const (
	perMM       = 10_000
	mostMM      = 100_000
	mostWidthMM = 10_000
)

// slack, in units, absorbs rounding errors of float64 in a length such as 0.1 + 0.2.
const slack = 1e-3

// unitsUp rounds the size of things that need room, unitsDown the room.
func unitsUp(mm float64) int64   { return int64(math.Ceil(float64(mm*perMM) - slack)) }
func unitsDown(mm float64) int64 { return int64(math.Floor(float64(mm*perMM) + slack)) }

func toMM(units int64) float64 { return float64(units) / perMM }

func round1(v float64) float64 { return math.Round(v*10) / 10 }
