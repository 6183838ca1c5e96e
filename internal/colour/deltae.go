package colour

import (
	"math"

	"sizewright/internal/exact"
)

// deltaE returns the CIEDE2000 difference of two colours (kL = kC = kH = 1), ISO/CIE
// 11664-6:2014, as given by Sharma, Wu and Dalal, "The CIEDE2000 color-difference
// formula: implementation notes, supplementary test data, and mathematical
// observations", Color Research and Application 30 (2005) 21-30. Numbers in comments
// are that paper's equations.
//
// Most people can just see a difference of about 1 in a side-by-side comparison (common
// practice, no source). The formula was fitted to differences below about 5. Larger
// values rank differences well but no longer count just noticeable steps.
func deltaE(a, b Lab) float64 {
	if a == b {
		return 0
	}
	dL, dC, dH, rotation := terms(a, b)
	// (22); rounding could make the sum negative for nearly equal colours.
	return math.Sqrt(max(float64(dL*dL)+float64(dC*dC)+float64(dH*dH)+float64(rotation*dC*dH), 0))
}

// difference returns the three terms of CIEDE2000: how much lighter, more chromatic and
// further around the hue circle b is than a, each in units of the whole difference. The
// sum of their squares differs slightly from [deltaE] squared in blue, where the
// formula has a term of chroma and hue together.
func difference(a, b Lab) (dL, dC, dH float64) {
	dL, dC, dH, _ = terms(a, b)
	return dL, dC, dH
}

func terms(x, y Lab) (dL, dC, dH, rotation float64) {
	g := 1 + stretch((x.Chroma()+y.Chroma())/2) // (2) to (5)
	c1, h1 := polar(g*x[1], x[2])
	c2, h2 := polar(g*y[1], y[2])
	dh, h := hues(c1*c2 == 0, h1, h2)
	l, c := float64((x[0]+y[0])/2)-50, (c1+c2)/2 // (12), (13)

	t := 1 - float64(0.17*cosd(h-30)) + float64(0.24*cosd(2*h)) + float64(0.32*cosd(float64(3*h)+6)) - float64(0.20*cosd(float64(4*h)-63)) // (15)
	sL := 1 + float64(0.015*l*l)/math.Sqrt(20+float64(l*l))                                                                                // (18)
	sC := 1 + float64(0.045*c)                                                                                                             // (19)
	sH := 1 + float64(0.015*c*t)                                                                                                           // (20)

	dTheta := float64(30 * exact.Exp(-sq((h-275)/25)))                             // (16)
	rotation = -exact.Sin(2*dTheta*math.Pi/180) * 2 * math.Sqrt(seventh(c))        // (17), (21)
	dL, dC = (y[0]-x[0])/sL, (c2-c1)/sC                                            // (8), (9)
	return dL, dC, 2 * math.Sqrt(c1*c2) * exact.Sin(dh*math.Pi/360) / sH, rotation // (11)
}

// hues returns the difference between two hues, (10), and their mean, (14). If one
// colour is grey and has no hue, the difference is 0 and the mean is the hue of the
// other.
func hues(grey bool, h1, h2 float64) (dh, mean float64) {
	switch d := h2 - h1; {
	case grey:
		return 0, h1 + h2
	case math.Abs(d) <= 180:
		return d, (h1 + h2) / 2
	case h1+h2 < 360:
		return d - math.Copysign(360, d), (h1 + h2 + 360) / 2
	default:
		return d - math.Copysign(360, d), (h1 + h2 - 360) / 2
	}
}

// stretch returns the factor by which a* grows near the neutral axis, minus 1, (4).
func stretch(c float64) float64 { return float64(0.5 * (1 - math.Sqrt(seventh(c)))) }

func seventh(c float64) float64 {
	const c7 = 25. * 25 * 25 * 25 * 25 * 25 * 25
	p := c * c * c
	p = float64(p * p * c)
	return p / (p + c7)
}

// polar returns chroma and hue; hue is in degrees, 0..360, and 0 without chroma.
func polar(a, b float64) (c, h float64) {
	c, h = exact.Hypot(a, b), exact.Atan2(b, a)*180/math.Pi
	if h < 0 {
		h += 360
	}
	return c, h
}

// Chroma returns the CIELAB chroma C*ab.
func (c Lab) Chroma() float64 { return exact.Hypot(c[1], c[2]) }

// Hue returns the CIELAB hue angle hab in degrees, 0..360; 0 without chroma.
func (c Lab) Hue() float64 {
	_, h := polar(c[1], c[2])
	return h
}

func cosd(deg float64) float64 { return exact.Cos(deg * math.Pi / 180) }

func sq(x float64) float64 { return x * x }
