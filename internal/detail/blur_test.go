package detail

import (
	"math"
	"testing"
)

// sigmas are Gaussians from as sharp as a lens draws to clearly soft, in px.
var sigmas = []float64{0.4, 0.7, 1, 1.7, 2.5}

func TestAnEdgeIsFoundAsSoftAsItIsAtAnyAngleAndContrastAndUnderNoise(t *testing.T) {
	const tolerance = 0.15
	for _, sigma := range sigmas {
		for _, degrees := range []float64{0, 17, 45, 90} {
			p := slabs(320, 256, degrees, 0.5, 1, sigma)
			for _, c := range []struct{ contrast, noise float64 }{{0.6, 0}, {0.15, 0}, {0.2, 0.004}, {0.6, 0.015}} {
				m := Measure(p.faded(c.contrast).noisy(c.noise).in(t, grey16))
				if m.Edges < 15 || off(m.Blur, sigma) > tolerance {
					t.Errorf("%v px at %v degrees, %+v: found %.3f px from %d edges", sigma, degrees, c, m.Blur, m.Edges)
				}
			}
		}
	}
}

func TestEdgesAtEveryAngleAreFoundAsSoftAsTheyAre(t *testing.T) {
	for _, sigma := range sigmas {
		p := discs(384, 400, 0.5, 0.6, sigma)
		for noise, tolerance := range map[float64]float64{0: 0.03, 0.005: 0.06, 0.03: 0.15} {
			m := Measure(p.noisy(noise).in(t, grey16))
			if m.Edges < 40 || off(m.Blur, sigma) > tolerance {
				t.Errorf("%v px, noise %v: found %.3f px from %d edges", sigma, noise, m.Blur, m.Edges)
			}
		}
	}
}

func TestAnEdgeAsSharpAsPixelsHasNoBlur(t *testing.T) {
	m := Measure(discs(384, 400, 0.5, 0.6, 1e-6).in(t, grey16))
	if m.Edges < 40 || m.Blur > 0.2 {
		t.Errorf("found %.3f px from %d edges", m.Blur, m.Edges)
	}
}

func TestTheSharpSubjectCountsAndNotTheSoftBackground(t *testing.T) {
	soft, sharp := discs(800, 800, 0.5, 0.6, 2.5), discs(800, 800, 0.5, 0.6, 0.8)
	for y := 300; y < 580; y++ { // an eighth of the picture
		copy(soft.v[y*800+300:][:280], sharp.v[y*800+300:][:280])
	}
	m := Measure(soft.noisy(0.005).in(t, grey16))
	if off(m.Blur, 0.8) > 0.15 {
		t.Errorf("found %.3f px from %d edges; the subject has 0.8, the background 2.5", m.Blur, m.Edges)
	}
}

func TestWithoutEdgesTheBlurIsNotKnown(t *testing.T) {
	wave := func(x, y float64) float64 { return 0.5 + 0.2*math.Sin(x/40)*math.Cos(y/60) }
	for name, p := range map[string]picture{
		"flat":           paint(300, 300, func(x, y float64) float64 { return 0.5 }),
		"slow":           paint(300, 300, wave),
		"slow and noisy": paint(300, 300, wave).noisy(0.03),
		"very noisy":     paint(300, 300, wave).noisy(0.08),
		"fine texture":   paint(300, 300, func(x, y float64) float64 { return 0.5 + 0.2*math.Sin(1.7*x+0.3*y) }),
	} {
		if m := Measure(p.in(t, grey16)); m.Blur != 0 || m.Edges != 0 {
			t.Errorf("%s: found %.3f px from %d edges", name, m.Blur, m.Edges)
		}
	}
}

// Noise cannot make an edge of the wrong softness out of a weak one.
func TestAWeakEdgeUnderNoiseIsFoundAsItIsOrNotAtAll(t *testing.T) {
	for _, sigma := range []float64{0.7, 1.5, 2.5} {
		p := slabs(320, 320, 20, 0.5, 1, sigma)
		for _, contrast := range []float64{0.1, 0.2, 0.25, 0.3, 0.35, 0.4, 0.5} {
			m := Measure(p.faded(contrast).noisy(0.025).in(t, grey16))
			if m.Edges > 4 && off(m.Blur, sigma) > 0.15 {
				t.Errorf("%v px, contrast %v: found %.3f px from %d edges", sigma, contrast, m.Blur, m.Edges)
			}
		}
	}
}

func TestLeavesAreNoEdges(t *testing.T) {
	if m := Measure(foliage(384, 400).in(t, grey16)); m.Edges > 4 {
		t.Errorf("taken for %d edges of %.3f px", m.Edges, m.Blur)
	}
}

// A line's two sides weaken each other when blurred, which would pass for sharpness.
func TestAThinLineIsNoEdge(t *testing.T) {
	for _, width := range []float64{1, 2, 3, 4} {
		nx, ny := math.Cos(0.5), math.Sin(0.5)
		p := paint(384, 384, func(x, y float64) float64 {
			d := math.Mod(x*nx+y*ny, 50) - 25
			return 0.3 + 0.5*(step(d+width/2, nx, ny, 1)-step(d-width/2, nx, ny, 1))
		})
		if m := Measure(p.in(t, grey16)); m.Edges != 0 {
			t.Errorf("%v px wide: taken for %d edges of %.3f px", width, m.Edges, m.Blur)
		}
	}
}

// JPEG's quantisation both softens and rings. House bounds, as found with
// this encoder: a quarter at quality 95, and 0.3 px besides at 85.
func TestJPEGShiftsTheBlurLittle(t *testing.T) {
	for _, sigma := range sigmas {
		still := discs(384, 400, 0.5, 0.6, sigma)
		for _, noise := range []float64{0, 0.01} {
			p := still.noisy(noise)
			for form, bound := range map[string]float64{jpeg95: 0.25 * sigma, jpeg85: 0.25*sigma + 0.3} {
				m := Measure(p.in(t, form))
				if m.Edges < 40 || math.Abs(m.Blur-sigma) > bound {
					t.Errorf("%s, %v px, noise %v: found %.3f px from %d edges", form, sigma, noise, m.Blur, m.Edges)
				}
			}
		}
	}
}

func TestWhatNoiseDoesToASlopeIsKnown(t *testing.T) {
	got := energyOf([]float64{-0.5, 0, 0.5}, []float64{1}) * energyOf([]float64{1. / 6, 4. / 6, 1. / 6}, []float64{1})
	if math.Abs(got-slopeNoise) > 1e-12 {
		t.Errorf("the slope of white noise has the variance %v, not %v", got, slopeNoise)
	}
	p := paint(128, 128, func(x, y float64) float64 { return 0 }).noisy(1)
	tl := tile{128, 128, make([]float32, len(p.v))}
	for i, v := range p.v {
		tl.pix[i] = float32(v)
	}
	gx, gy := make([]float32, len(p.v)), make([]float32, len(p.v))
	soft, scratch := make([]float32, len(p.v)), make([]float32, len(p.v))
	blurred(soft, scratch, tl.pix, 128, 128, second.half)
	slope(gx, gy, soft, 128, 128)
	sum, n := 0.0, 0.0
	for y := 10; y < 118; y++ {
		for x := 10; x < 118; x++ {
			sum += float64(gx[y*128+x]*gx[y*128+x]+gy[y*128+x]*gy[y*128+x]) / 2
			n++
		}
	}
	if off(sum/n, second.slopeNoise) > 0.1 {
		t.Errorf("after the second blur its variance is %v, reckoned as %v", sum/n, second.slopeNoise)
	}
}
