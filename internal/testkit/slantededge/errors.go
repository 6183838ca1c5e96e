package slantededge

import (
	"errors"
	"fmt"
	"math"
)

// Why a picture cannot be measured. The errors that wrap these say what was found and
// what to do.
var (
	ErrPlane    = errors.New("not a plane")
	ErrNoEdge   = errors.New("no straight edge between two level sides")
	ErrTooShort = errors.New("the edge is too short")
	ErrAngle    = errors.New("the edge runs too nearly along the pixel grid")
	ErrNoLine   = errors.New("no thin line")
)

// checkPlane returns an error unless the plane has w*h finite values.
func checkPlane(plane []float64, w, h int) error {
	if w < 1 || h < 1 || len(plane) != w*h {
		return fmt.Errorf("%w: %d values for %d x %d px; give width times height of them", ErrPlane, len(plane), w, h)
	}
	for i, v := range plane {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%w: the value at (%d, %d) is %v; give finite values", ErrPlane, i%w, i/w, v)
		}
	}
	return nil
}
