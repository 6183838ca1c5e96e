package slantededge

// Ridge returns a thin straight line through the middle of a picture of w*h pixels,
// a stem of grass or a rope: Gaussian across, of sigma px (above 0), low beside
// it and high along its crest. The angle is in degrees clockwise from vertical.
// Each pixel is the true average over its square, so the highest pixel of a
// line with a sigma under 2 px lies visibly below high.
func Ridge(w, h int, angle, sigma, low, high float64) []float64 {
	p := pixelAt(angle)
	return across(w, h, angle, func(d float64) float64 {
		return low + (high-low)*p.line(d, sigma)
	})
}
