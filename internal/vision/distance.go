package vision

import (
	"fmt"
	"math"
)

// TanMinute is the tangent of one minute of arc.
const TanMinute float64 = 2.9088821687031592e-4

const mmPerInch = 25.4

const (
	// NearPointMM is the shortest viewing distance: the conventional near point of the
	// eye in optics.
	NearPointMM = 250

	// Diagonals is the usual viewing distance in print diagonals (common practice, no
	// source).
	Diagonals = 1.5
)

// ResolvablePPI returns the resolution, in pixels per inch, that an eye of the given
// decimal acuity can resolve at a distance in mm: 25.4 / (d tan 1') for acuity 1, which
// is one minute of arc (ISO 8596). It is 344 at 254 mm.
func ResolvablePPI(distanceMM, acuity float64) float64 {
	return acuity * mmPerInch / (distanceMM * TanMinute)
}

// PixelsPerDegree returns how many pixels of a print of this resolution fill one degree
// of visual angle at a distance in mm. It converts cycles per pixel to cycles per
// degree.
func PixelsPerDegree(ppi, distanceMM float64) float64 {
	return ppi / mmPerInch * distanceMM * math.Pi / 180
}

// ViewingDistance returns the usual distance, in mm, for a print of this diagonal: 1.5
// diagonals, but at least the near point.
func ViewingDistance(diagonalMM float64) float64 {
	return max(NearPointMM, Diagonals*diagonalMM)
}

// LookDistance returns the distance, in mm, at which a print is judged, for its viewing
// distance in mm. People first stand back and then come nearer, so it is the geometric
// mean of the near point and the viewing distance (house judgement).
func LookDistance(viewingMM float64) float64 {
	return math.Sqrt(NearPointMM * max(viewingMM, NearPointMM))
}

// FormatDistance formats a distance in metres, or in cm if it is below a metre.
func FormatDistance(mm float64) string {
	if mm < 995 {
		return fmt.Sprintf("%.0f cm", mm/10)
	}
	return fmt.Sprintf("%.1f m", mm/1000)
}
