package order

import (
	"math"

	"sizewright/internal/detail"
	"sizewright/internal/exact"
	"sizewright/internal/render"
)

const (
	// noiseMargin allows for what the linear fit of [render.NoiseThreshold] leaves out.
	noiseMargin = 0.01
	// noiseSpread is how much noisier smooth areas are than the calmest tenth, which is
	// what is measured: light tones have more noise than middle tones, and denoising
	// leaves some areas untouched (house judgement, from scripts/smooth.sh).
	noiseSpread = 1.5
	// noiseDarkMost limits the factor for shadows that are noisier than the rest: tones
	// between shadows and highlights have part of that noise, and a dark picture may
	// have few and clean highlights.
	noiseDarkMost = 2
	// meansLess is how much more noise the kernel leaves in a reduction than the means of
	// pixels by which it was measured, when the noise is spread over several pixels.
	meansLess = 1.15
)

// holdBack sets how far sharpening spares noise and shadows. The two rasters that are
// sharpened share what NoiseGain allows.
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

// withRounding adds the noise of rounding to 8 bits, which the measurement leaves out:
// once sharpened, the steps in a smooth sky are as visible as noise. It adds nothing to
// a picture that was not measured.
func withRounding(m detail.Measurement, bits int) detail.Measurement {
	if bits != 8 || m == (detail.Measurement{}) {
		return m
	}
	step := 1 / (255 * math.Sqrt(12)) // standard deviation of rounding to whole steps
	if m.NoiseHalf > 0 || m.Noise == 0 {
		m.NoiseHalf, m.NoiseQuarter = exact.Hypot(m.NoiseHalf, step/2), exact.Hypot(m.NoiseQuarter, step/4)
	}
	m.Noise, m.NoiseDark = exact.Hypot(m.Noise, step), exact.Hypot(m.NoiseDark, step)
	return m
}

// spread returns the measurement with the most noise that smooth areas have.
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

// noiseLeft returns the noise of the picture at a scale. An enlargement keeps all of
// it. A reduction has what was measured at a half and at a quarter, and between them a
// power of the scale. Smaller than that, or where that was not measured, the noise
// averages out as independent noise does.
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
