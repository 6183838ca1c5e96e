package order

import (
	"math"

	"sizewright/internal/detail"
	"sizewright/internal/exact"
	"sizewright/internal/render"
)

const (
	// noiseMargin is for what the linear fit of [render.NoiseThreshold] does not see.
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
		pre.Noise = round(m.Noise*render.NoiseThreshold(0.5, allowed, pre.Deblurs), 6)
	}
	noise, edge := noiseLeft(m, p.enlarges()), 0.5
	if p.enlarges() > 1 {
		edge /= p.enlarges() // enlarging spreads noise over lower frequencies
	}
	both := func(fx, fy float64) float64 {
		return scale.Masks(fx, fy) + out.Masks(fx, fy)
	}
	t := round(noise*render.NoiseThreshold(edge, allowed, both), 6)
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
