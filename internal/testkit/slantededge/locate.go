package slantededge

import (
	"fmt"
	"math"
)

const (
	minSide     = 16.0 // px: fewer rows or columns hold no measurable edge
	minRoom     = 8.0  // px of picture on each side of the edge, in every row
	minDegrees  = 1.0  // from the nearest of 0 and 45
	missingRows = 0.1  // share of rows that may be lost to noise
)

// locate finds the edge's line, once over whole rows and once more under a
// Hamming window about it, which keeps distant noise out of the centroids.
func locate(u upright) (straight, error) {
	if float64(min(u.w, u.h)) < minSide {
		return straight{}, fmt.Errorf("%w: the picture is %d x %d px; give at least %g on each side", ErrTooShort, u.w, u.h, minSide)
	}
	line, err := u.trace(func(float64) window { return everywhere })
	if err != nil {
		return line, err
	}
	room := u.room(line, 0, u.h)
	if room < minRoom {
		return line, fmt.Errorf("%w: it comes within %.1f px of the picture's side; leave %g px in every row", ErrTooShort, room, minRoom)
	}
	line, err = u.trace(func(y float64) window { return hamming(line.at(y), room) })
	if err != nil {
		return line, err
	}
	return line, checkSlope(line.slope, u.h)
}

// trace fits a line to the rows' centroids. It leaves out a row that rises by less than half
// of the usual rise: there the edge cannot be seen.
func (u upright) trace(weigh func(y float64) window) (straight, error) {
	least := u.meanStep() * float64(u.w-1) / 2
	var found points
	for i := range u.h {
		y := float64(i) + 0.5
		if x, rise := centroid(u.row(i), weigh(y)); rise > least {
			found.add(x, y)
		}
	}
	if lost := u.h - len(found.x); float64(lost) > missingRows*float64(u.h) {
		return straight{}, fmt.Errorf("%w: %d of %d rows have none; give a region that one edge crosses from end to end", ErrNoEdge, lost, u.h)
	}
	return found.fit(), nil
}

// room returns the least distance along a row from the line to the middle of the
// outermost pixel.
func (u upright) room(line straight, from, to int) float64 {
	a, b := line.at(float64(from)+0.5), line.at(float64(to)-0.5)
	return min(a, b, float64(u.w)-a, float64(u.w)-b) - 0.5
}

// checkSlope returns an error unless the rows meet the pixel grid at all phases. Where the
// edge runs along the grid or its diagonal every row is the same sample again.
func checkSlope(slope float64, rows int) error {
	degrees := math.Atan(math.Abs(slope)) * 180 / math.Pi
	if off := min(degrees, math.Abs(45-degrees)); off < minDegrees {
		return fmt.Errorf("%w: %.2f degrees from it or its diagonal; turn the edge to about 5 degrees", ErrAngle, off)
	}
	drift := math.Abs(slope) * float64(rows)
	if degrees > 22.5 {
		drift = (1 - math.Abs(slope)) * float64(rows)
	}
	if drift < 1 {
		return fmt.Errorf("%w: over %d rows it passes only %.2f of a pixel's phases; give more rows or turn it further", ErrTooShort, rows, drift)
	}
	return nil
}
