package slantededge

import (
	"fmt"
	"math"
	"slices"
)

// A Response is the measurement of an edge. Positions are px along the edge's
// normal from the fitted line, dark side negative; the edge always reads from
// dark to light, whatever its direction was.
//
// Noise of deviation s, with R px of picture on each side of n rows of edge,
// leaves about 2 s/sqrt(n) in each ESF value; Over and Under are extremes and
// read some three times that too high. In At it is 5.6 f s/(High-Low) sqrt(R/n),
// added in quadrature: it hides a response below itself and hardly touches one
// far above. A tall narrow region is quieter than a wide one.
//
// A bin's mean flattens what is narrow: the halo of a three-tap filter reads 3 %
// of itself low, and a blur of 0.5 px rises over 0.013 px too many. An edge with
// no blur at all has corners in its spread: on a slope of a simple fraction At
// is up to 0.05 wrong, and up to 0.0075 of the contrast shows as overshoot.
type Response struct {
	Angle     float64 // of the edge, degrees clockwise from vertical, in (-90, 90]
	Low, High float64 // the plateaus: medians of the outer quarter on each side
	Over      float64 // how far the ESF goes above High, in the plane's units, 0 or more
	Under     float64 // how far it goes below Low, likewise
	Positions []float64
	ESF       []float64 // edge spread function, four values a px

	rise float64
	line []float64 // windowed line spread function
}

// steepest is the share of the picture's half width that a 10-90 % rise may
// take: beyond it the outer quarters are no plateaus. A Gaussian edge reaches
// 0.999 in the middle of them at this limit.
const steepest = 2.0 / 3

// Measure finds the one straight edge in a plane of w*h values and measures it.
// The edge may be near vertical or horizontal, in either direction, and must cross the plane
// from end to end with at least 8 px on both sides; five degrees off the grid and 24 sigmas
// of room are best.
//
// It fails with [ErrNoEdge], [ErrTooShort], [ErrAngle] or [ErrPlane].
func Measure(plane []float64, w, h int) (*Response, error) {
	if err := checkPlane(plane, w, h); err != nil {
		return nil, err
	}
	u, err := stand(upright{plane: plane, w: w, h: h})
	if err != nil {
		return nil, err
	}
	line, err := locate(u)
	if err != nil {
		return nil, err
	}
	s, err := u.project(line)
	if err != nil {
		return nil, err
	}
	r := s.response(u.angle(line.slope))
	if err := r.credible(deviation(plane)); err != nil {
		return nil, err
	}
	return r, nil
}

func (s *spread) response(angle float64) *Response {
	r := &Response{Angle: angle, ESF: s.values, line: s.line()}
	for i := range s.values {
		r.Positions = append(r.Positions, s.position(i))
	}
	r.Low, r.High = s.plateaus()
	r.Over = max(0, slices.Max(s.values)-r.High)
	r.Under = max(0, r.Low-slices.Min(s.values))
	r.rise = s.rise(r.Low, r.High)
	return r
}

// credible refuses a measurement that is not of an edge.
func (r *Response) credible(deviation float64) error {
	if contrast := r.High - r.Low; contrast < deviation {
		return fmt.Errorf("%w: the sides differ by %.3g, less than the picture varies (%.3g); give a cleaner edge", ErrNoEdge, contrast, deviation)
	}
	if half := -r.Positions[0]; !(r.rise <= steepest*half) {
		return fmt.Errorf("%w: the sides are not level (10 to 90 %% takes %.3g px of %.3g); give more picture beside the edge", ErrNoEdge, r.rise, 2*half)
	}
	return nil
}

// Rise returns the distance along the normal, px, over which the ESF goes from 10 to
// 90 % of the way between the plateaus. It holds the pixel itself: a Gaussian of
// s px rises over nearly 2.563 sqrt(s^2 + 1/12).
func (r *Response) Rise() float64 { return r.rise }

// At returns the spatial frequency response, 1 at frequency zero, at f cycles/px
// along the normal, 0 to 1; NaN elsewhere. It holds the pixel's own response.
func (r *Response) At(f float64) float64 {
	if !(f >= 0 && f <= 1) {
		return math.NaN()
	}
	return modulus(r.line, f) / modulus(r.line, 0) / lostToBins(f)
}

// lostToBins returns what the central difference over two bins, sinc(f/2) as in the
// standard, and the mean within one bin, sinc(f/4), take away at f cycles/px.
func lostToBins(f float64) float64 {
	return sinc(2*f/oversample) * sinc(f/oversample)
}

// line returns the line spread function under its Hamming window.
func (s *spread) line() []float64 {
	weight := hamming(0, s.half)
	line := make([]float64, len(s.values))
	for i := 1; i < len(line)-1; i++ {
		line[i] = (s.values[i+1] - s.values[i-1]) / 2 * weight(s.position(i))
	}
	return line
}

// rise returns the 10-90 % distance, NaN where one of the two is never reached.
func (s *spread) rise(low, high float64) float64 {
	from, ok10 := s.crossing(low+0.1*(high-low), -1)
	to, ok90 := s.crossing(low+0.9*(high-low), 1)
	if !ok10 || !ok90 {
		return math.NaN()
	}
	return to - from
}

// modulus returns the modulus of the Fourier transform at f cycles/px, of values a bin apart.
func modulus(values []float64, f float64) float64 {
	var re, im float64
	for i, v := range values {
		sin, cos := math.Sincos(2 * math.Pi * f * float64(i) / oversample)
		re += v * cos
		im += v * sin
	}
	return math.Hypot(re, im)
}
