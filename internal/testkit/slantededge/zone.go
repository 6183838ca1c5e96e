package slantededge

import "math"

// Zone returns a zone plate of w*h pixels, 0 to 1 about a mean of 0.5: rings whose
// frequency at r px from the middle is r/max(w, h) cycles/px, so that the long
// sides' ends and the corners just reach the half cycle a pixel that a grid can
// hold in each direction, and nothing in it aliases.
//
// Reduce it n times and the rings beyond r = max(w, h)/(2n) must go flat;
// rings about any other middle are moire.
func Zone(w, h int) []float64 {
	plane := make([]float64, w*h)
	long := float64(max(w, h))
	for y := range h {
		for x := range w {
			r := math.Hypot(float64(x)+0.5-float64(w)/2, float64(y)+0.5-float64(h)/2)
			plane[y*w+x] = 0.5 + 0.5*math.Cos(math.Pi*r*r/long)
		}
	}
	return plane
}
