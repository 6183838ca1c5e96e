package render

import (
	"math"

	"sizewright/internal/detail"
	"sizewright/internal/exact"
)

const (
	// noiseMargin is for what the linear fit of [threshold] does not see.
	noiseMargin = 0.01
	// noiseSpread is how much noisier smooth places are than the calmest tenth,
	// which is what is measured: light tones have more noise than middle ones, and
	// denoising spares some places (house practice, from scripts/smooth.sh).
	noiseSpread = 1.5
	// noiseDarkMost is how much of the shadows' own noise counts, where it is more:
	// tones between shadows and lights have some of it, and a dark picture's lights may
	// be few and clean.
	noiseDarkMost = 2
	// meansLess is how much more of a noise that is spread over pixels a reduction by
	// the kernel leaves than the means of pixels by which it was measured.
	meansLess = 1.15
)

// holdBack settles how the stages spare noise and shadows. What NoiseGain allows
// is shared by the two rasters that are sharpened.
func (p *Plan) holdBack(m detail.Measurement) {
	shadow := shadowFull
	if m.Noise > 0 {
		shadow += float64((shadowNoisy - shadowFull) * min(max(m.NoiseDark/m.Noise-1, 0), 1))
	}
	m = spread(withRounding(m, p.Picture.Bits))
	pre, scale, out := &p.PreSharpening, &p.ScaleSharpening, &p.OutputSharpening
	for _, s := range []*Sharpening{pre, scale, out} {
		s.Shadow = round(shadow, 3)
	}
	allowed := NoiseGain - noiseMargin
	if pre.Applied && (scale.Applied || out.Applied) {
		allowed = math.Sqrt(allowed)
	}
	if pre.Applied {
		pre.Noise = round(m.Noise*threshold(0.5, allowed, pre.deblurs), 6)
	}
	noise, edge := noiseLeft(m, p.enlarges()), 0.5
	if p.enlarges() > 1 {
		edge /= p.enlarges() // enlarging spreads noise over lower frequencies
	}
	both := func(fx, fy float64) float64 {
		return scale.masks(fx, fy) + out.masks(fx, fy)
	}
	t := round(noise*threshold(edge, allowed, both), 6)
	scale.Noise, out.Noise = t, t
}

// withRounding is the measurement with the noise of whole steps of 8 bits, which was
// taken off: sharpened, the steps of a smooth sky are seen as much as noise is. Nothing
// is added to a picture that was not measured.
func withRounding(m detail.Measurement, bits int) detail.Measurement {
	if bits != 8 || m == (detail.Measurement{}) {
		return m
	}
	step := 1 / (255 * math.Sqrt(12)) // the deviation of a value rounded to whole steps
	if m.NoiseHalf > 0 || m.Noise == 0 {
		m.NoiseHalf, m.NoiseQuarter = exact.Hypot(m.NoiseHalf, step/2), exact.Hypot(m.NoiseQuarter, step/4)
	}
	m.Noise, m.NoiseDark = exact.Hypot(m.Noise, step), exact.Hypot(m.NoiseDark, step)
	return m
}

// spread is the measurement with the noise that smooth places have at the most.
func spread(m detail.Measurement) detail.Measurement {
	times := noiseSpread
	if m.Noise > 0 {
		times *= min(max(m.NoiseDark/m.Noise, 1), noiseDarkMost)
	}
	m.Noise *= times
	m.NoiseHalf = min(m.NoiseHalf*times*meansLess, m.Noise)
	m.NoiseQuarter = min(m.NoiseQuarter*times*meansLess, m.Noise)
	return m
}

// noiseLeft is the noise of the picture brought to a scale: all of it enlarged;
// reduced, what was measured of it at a half and at a quarter, and between by a power
// of the scale. Beyond, and where that was not measured, it is averaged away as
// independent noise is.
func noiseLeft(m detail.Measurement, scale float64) float64 {
	left, from := m.Noise, 1.0
	for _, next := range []float64{m.NoiseHalf, m.NoiseQuarter} {
		if next == 0 || scale >= from {
			break
		}
		octaves := min(exact.Log2(from/scale), 1)
		left *= exact.Pow(next/left, octaves)
		from /= 2
	}
	return left * min(scale/from, 1)
}

// masks is the response of the mask a (1 - G), nothing where it is not applied.
func (s Sharpening) masks(fx, fy float64) float64 {
	if !s.Applied {
		return 0
	}
	return s.Amount * (1 - gaussianResponse(s.RadiusPX, exact.Hypot(fx, fy)))
}

// deblurs is the response of pre-sharpening's mask, a (1 - G) (2 - G).
func (s Sharpening) deblurs(fx, fy float64) float64 {
	g := gaussianResponse(s.RadiusPX, exact.Hypot(fx, fy))
	return s.Amount * (1 - g) * (2 - g)
}

// threshold is t, for noise of deviation 1 that is white up to edge, in cycles a
// pixel both ways, such that the mask m q/(q+t²) makes the noise grow by the
// factor allowed.
//
// The mask is Gaussian noise of its own deviation d, and what the rule leaves of it
// acts on the noise like the mask times k = E[x⁴/(x²+(t/d)²)], x a standard
// normal variable (the best linear fit; the rest is a little more noise, which the
// tests of the print find small). With c the mean of the response and d² that of its
// square, the noise's variance becomes 1 + 2 k c + k² d².
func threshold(edge, allowed float64, response func(fx, fy float64) float64) float64 {
	c, d2 := meansOf(edge, response)
	if d2 == 0 {
		return 0
	}
	// 1 + 2 k c + k² d² = allowed²
	k := (math.Sqrt(float64(c*c)+float64(d2*(float64(allowed*allowed)-1))) - c) / d2
	if k >= 1 {
		return 0
	}
	lo, hi := 0.0, 100.0
	for range 50 {
		if mid := (lo + hi) / 2; kept(mid) > k {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi * math.Sqrt(d2)
}

// meansOf are the mean of a response and of its square over a band.
func meansOf(edge float64, response func(fx, fy float64) float64) (mean, square float64) {
	const steps = 48
	for i := range steps {
		for j := range steps {
			v := response(edge*(float64(i)+0.5)/steps, edge*(float64(j)+0.5)/steps)
			mean += v / (steps * steps)
			square += v * v / (steps * steps)
		}
	}
	return mean, square
}

// kept is E[x⁴/(x²+t²)], x a standard normal variable, by the trapezium rule.
func kept(t float64) float64 {
	const steps, end = 400, 8.0
	sum := 0.0
	for i := 1; i <= steps; i++ {
		x := end * float64(i) / steps
		sum += float64(x * x * x * x / (float64(x*x) + float64(t*t)) * exact.Exp(-x*x/2))
	}
	return 2 * sum * end / steps / math.Sqrt(2*math.Pi)
}
