package eye

import (
	"fmt"
	"math"

	"sizewright/internal/exact"
)

// minute is one minute of arc, in radians.
const minute = math.Pi / 180 / 60

const mmPerInch = 25.4

const (
	// NearPointMM is as near as people look: the conventional near point of the
	// eye in optics.
	NearPointMM = 250

	// Diagonals: people look at a print from about this many of its diagonals
	// (common practice, no source).
	Diagonals = 1.5
)

// PPI is what an eye of this decimal acuity resolves at a distance in mm, in
// pixels an inch: 25.4 / (d tan 1') for acuity 1, which is one minute of arc (ISO
// 8596) and 344 at 254 mm.
func PPI(distanceMM, acuity float64) float64 {
	return acuity * mmPerInch / (distanceMM * exact.Tan(minute))
}

// PixelsPerDegree is how many pixels of a print of this resolution lie in a degree
// of angle, straight ahead, at a distance in mm. Times cycles per pixel it is
// cycles per degree.
func PixelsPerDegree(ppi, distanceMM float64) float64 {
	return ppi / mmPerInch * distanceMM * math.Pi / 180
}

// ViewingDistance is from where people first look at a print of this diagonal, in
// mm: one and a half diagonals, and never under the near point.
func ViewingDistance(diagonalMM float64) float64 {
	return max(NearPointMM, Diagonals*diagonalMM)
}

// LookDistance is from where a print is judged, for its viewing distance in mm:
// people stand back and then come nearer, so it is the geometric mean of the near
// point and the viewing distance (house practice).
func LookDistance(viewingMM float64) float64 {
	return math.Sqrt(NearPointMM * max(viewingMM, NearPointMM))
}

// Metres is a distance in words: in cm where it is under a metre.
func Metres(mm float64) string {
	if mm < 995 {
		return fmt.Sprintf("%.0f cm", mm/10)
	}
	return fmt.Sprintf("%.1f m", mm/1000)
}
