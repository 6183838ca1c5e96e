package slantededge

import "math"

// An Edge is a straight Gaussian-blurred edge through the middle of a picture,
// without noise and without overshoot.
type Edge struct {
	Angle     float64 // degrees clockwise from vertical; about 5 measures best
	Low, High float64 // the value left of the edge (above a flat one), and right of it
	Blur      float64 // sigma of the Gaussian in px, 0 or more
}

// Render returns the edge as w*h pixels. Each is the true average over its square,
// in closed form: right to 1e-11 of the contrast for blurs to 8 px at half a
// degree or more off the pixel grid, to 1e-6 at any angle.
func (e Edge) Render(w, h int) []float64 {
	p := pixelAt(e.Angle)
	return across(w, h, e.Angle, func(d float64) float64 {
		return e.Low + (e.High-e.Low)*p.step(d, e.Blur)
	})
}

// Response returns the edge's true spatial frequency response at f cycles/px along
// its normal: the Gaussian's, exp(-2 (pi Blur f)^2), times that of the pixel's
// square, which for a few degrees is nearly sinc(f).
func (e Edge) Response(f float64) float64 {
	a := math.Pi * e.Blur * f
	return math.Exp(-2*a*a) * pixelAt(e.Angle).response(f)
}

// across fills a picture with a function of the distance from the line through
// its middle, positive to the right of it (below a flat one).
func across(w, h int, degrees float64, at func(d float64) float64) []float64 {
	s, c := math.Sincos(degrees * math.Pi / 180)
	plane := make([]float64, w*h)
	for y := range h {
		for x := range w {
			plane[y*w+x] = at((float64(x)+0.5-float64(w)/2)*c + (float64(y)+0.5-float64(h)/2)*s)
		}
	}
	return plane
}
