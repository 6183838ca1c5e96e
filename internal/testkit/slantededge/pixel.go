package slantededge

import "math"

// A pixel seen along one direction is a trapezium: two boxes convolved, as wide
// as the cosine and the sine of the angle. Averaging a function over it is
// therefore the second difference of the function's second antiderivative, and
// for the Gaussian and its integrals that is a closed form.
type pixel struct{ wide, narrow float64 }

// narrowest is the narrowest box that is not treated as a point. Below it rounding in the second
// difference costs more than the box does.
const narrowest = 1e-6

// reachSigmas is where the tail of a Gaussian no longer shows in a float64
// beside 1: the integral beyond is 1e-19.
const reachSigmas = 9

func pixelAt(degrees float64) pixel {
	s, c := math.Sincos(degrees * math.Pi / 180)
	s, c = math.Abs(s), math.Abs(c)
	return pixel{max(s, c), min(s, c)}
}

// average returns the average of a function over the pixel whose middle lies at d, from the
// function's first and second antiderivatives.
func (p pixel) average(first, second func(float64) float64, d float64) float64 {
	far, near := (p.wide+p.narrow)/2, (p.wide-p.narrow)/2
	if p.narrow < narrowest {
		return (first(d+p.wide/2) - first(d-p.wide/2)) / p.wide
	}
	return (second(d+far) - second(d+near) - second(d-near) + second(d-far)) / (p.wide * p.narrow)
}

// step returns a Gaussian-blurred unit step over the pixel, d px from the edge,
// 0 far on the negative side and 1 far on the positive.
func (p pixel) step(d, sigma float64) float64 {
	if d > 0 {
		return 1 - p.step(-d, sigma) // the side where the antiderivatives are small
	}
	if d < -(p.wide+p.narrow)/2-reachSigmas*sigma {
		return 0
	}
	return p.average(
		func(x float64) float64 { return gauss1(x, sigma) },
		func(x float64) float64 { return gauss2(x, sigma) }, d)
}

// line returns a Gaussian line of height 1 over the pixel, d px from its middle.
func (p pixel) line(d, sigma float64) float64 {
	d = -math.Abs(d)
	if d < -(p.wide+p.narrow)/2-reachSigmas*sigma {
		return 0
	}
	return sigma * math.Sqrt(2*math.Pi) * p.average(
		func(x float64) float64 { return gauss0(x, sigma) },
		func(x float64) float64 { return gauss1(x, sigma) }, d)
}

// response returns the spatial frequency response of a pixel's square to f cycles/px.
func (p pixel) response(f float64) float64 { return sinc(f*p.wide) * sinc(f*p.narrow) }

// gauss0, gauss1 and gauss2 are the first, second and third antiderivatives of
// the Gaussian of unit area; sigma 0 is the impulse.
func gauss0(x, sigma float64) float64 {
	if sigma == 0 {
		return unitStep(x)
	}
	return math.Erfc(-x/(sigma*math.Sqrt2)) / 2
}

func gauss1(x, sigma float64) float64 {
	return x*gauss0(x, sigma) + sigma*sigma*density(x, sigma)
}

func gauss2(x, sigma float64) float64 {
	return ((x*x+sigma*sigma)*gauss0(x, sigma) + x*sigma*sigma*density(x, sigma)) / 2
}

func density(x, sigma float64) float64 {
	if sigma == 0 {
		return 0
	}
	return math.Exp(-x*x/(2*sigma*sigma)) / (sigma * math.Sqrt(2*math.Pi))
}

func unitStep(x float64) float64 {
	if x < 0 {
		return 0
	}
	return 1
}

func sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}
