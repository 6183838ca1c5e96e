package detail

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Places that noise is read in: mean luma at every pixel.
var grounds = map[string]func(x, y float64) float64{
	"flat":     func(x, y float64) float64 { return 0.6 },
	"gradient": func(x, y float64) float64 { return 0.3 + 0.5*(x+0.6*y)/640 },
	"sky":      func(x, y float64) float64 { return 0.6 + 0.15*math.Sin(x/90)*math.Cos(y/70) },
	"beside texture": func(x, y float64) float64 { // grass over three quarters of the picture
		if y < 100 {
			return 0.7
		}
		return 0.5 + 0.15*math.Sin(1.7*x+0.3*y) + 0.1*math.Sin(0.6*y-0.4*x)
	},
	"beside edges": func(x, y float64) float64 {
		nx, ny := math.Cos(0.4), math.Sin(0.4)
		return 0.4 + 0.4*step(math.Mod(x*nx+y*ny, 90)-45, nx, ny, 1)
	},
}

func TestNoiseIsFoundOnFlatsGradientsAndBesideTexture(t *testing.T) {
	for name, ground := range grounds {
		still := paint(320, 320, ground)
		for _, sigma := range []float64{0.002, 0.005, 0.012, 0.03} {
			for _, form := range []string{grey8, rgb16} {
				m := Measure(still.noisy(sigma).in(t, form))
				if off(m.Noise, sigma) > 0.1 {
					t.Errorf("%s, noise %v, %s: found %.5f", name, sigma, form, m.Noise)
				}
				if m.NoiseDark != m.Noise {
					t.Errorf("%s: no shadows, but they have a noise of their own", name)
				}
			}
		}
	}
}

// Blurred edges so near to each other that hardly a smooth place is left.
func TestSoftEdgesAreNotTakenForNoise(t *testing.T) {
	for _, sigma := range []float64{1, 1.5, 2} {
		p := paint(400, 400, func(x, y float64) float64 {
			d := math.Mod(0.8*x+0.6*y, 50)
			return 0.3 + 0.4*(step(d-12, 0.8, 0.6, sigma)-step(d-37, 0.8, 0.6, sigma))
		})
		if m := Measure(p.in(t, grey16)); m.Noise > 0.001 {
			t.Errorf("edges of %v px: found %.5f", sigma, m.Noise)
		}
	}
}

func TestANoiselessPictureHasNoNoise(t *testing.T) {
	for name, ground := range grounds {
		for _, form := range []string{grey8, rgb8, grey16} {
			if m := Measure(paint(400, 400, ground).in(t, form)); m.Noise > 0.001 || m.NoiseDark > 0.001 {
				t.Errorf("%s, %s: found %.5f, and %.5f in shadows", name, form, m.Noise, m.NoiseDark)
			}
		}
	}
}

func TestShadowsHaveTheirOwnNoise(t *testing.T) {
	const light, dark = 0.004, 0.015
	p := paint(400, 400, func(x, y float64) float64 {
		if y < 200 {
			return 0.6
		}
		return 0.1
	})
	deep, night := p.noisy(dark), p.noisy(dark)
	copy(deep.v[:200*400], p.noisy(light).v)
	copy(night.v[:200*400], night.v[200*400:])
	m := Measure(deep.in(t, grey16))
	if off(m.Noise, light) > 0.1 || off(m.NoiseDark, dark) > 0.1 {
		t.Errorf("found %.5f and %.5f in shadows, want %v and %v", m.Noise, m.NoiseDark, light, dark)
	}
	if m = Measure(night.in(t, grey16)); off(m.Noise, dark) > 0.1 || m.Noise != m.NoiseDark {
		t.Errorf("only shadows: found %.5f and %.5f, want %v twice", m.Noise, m.NoiseDark, dark)
	}
}

// Independent noise falls by the side of the picture; noise that is the same over
// 2 x 2 pixels not at all by the first half, and by the side from there. The calmest places
// are picked by the whole noise, which is then read a tenth too small, and the quarter's is not.
func TestWhatAReductionLeavesOfNoiseIsFound(t *testing.T) {
	const sigma = 0.01
	const side = 800
	p := paint(side, side, func(x, y float64) float64 { return 0.6 }).noisy(sigma)
	m := Measure(p.in(t, grey16))
	if off(m.NoiseHalf, sigma/2) > 0.1 || off(m.NoiseQuarter, sigma/4) > 0.15 {
		t.Errorf("independent noise of %v: %.5f is left at a half and %.5f at a quarter", m.Noise, m.NoiseHalf, m.NoiseQuarter)
	}
	for y := range side {
		for x := range side {
			p.v[y*side+x] = p.v[y/2*2*side+x/2*2]
		}
	}
	m = Measure(p.in(t, grey16))
	if off(m.NoiseHalf, m.Noise) > 0.1 || off(m.NoiseQuarter, sigma/2) > 0.15 {
		t.Errorf("noise of 2 x 2 px of %v, read as %.5f: %.5f is left at a half and %.5f at a quarter", sigma, m.Noise, m.NoiseHalf, m.NoiseQuarter)
	}
}

func TestAPaintedBorderSaysNothingOfNoise(t *testing.T) {
	p := paint(400, 400, func(x, y float64) float64 { return 0.6 }).noisy(0.01)
	for y := range 400 {
		for x := range 400 {
			if min(x, y, 399-x, 399-y) < 40 {
				p.v[y*400+x] = 0.8
			}
		}
	}
	if m := Measure(p.in(t, grey16)); off(m.Noise, 0.01) > 0.1 {
		t.Errorf("found %.5f, want 0.01", m.Noise)
	}
}

// JPEG takes the finest noise away, and it is what is left that is found. House
// bounds, as found with this encoder.
func TestJPEGTakesSomeOfTheNoise(t *testing.T) {
	p := paint(400, 400, grounds["sky"])
	for _, sigma := range []float64{0.01, 0.03} {
		for form, share := range map[string][2]float64{jpeg95: {0.8, 1.1}, jpeg85: {0.3, 1.1}} {
			m := Measure(p.noisy(sigma).in(t, form))
			if m.Noise < share[0]*sigma || m.Noise > share[1]*sigma {
				t.Errorf("%s, noise %v: found %.5f", form, sigma, m.Noise)
			}
		}
	}
}

// The least tenth of readings that differ by chance alone is no less than all
// of them; of readings of two kinds it is the lesser kind.
func TestPickingTheLeastAddsNoBias(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	alike, mixed := make([]reading, 4000), make([]reading, 4000)
	for i := range alike {
		alike[i] = reading{1 + 0.2*r.NormFloat64(), 1 + 0.2*r.NormFloat64()}
		mixed[i] = alike[i]
		if i%4 > 0 {
			mixed[i].a += 1.5
			mixed[i].b += 1.5
		}
	}
	for name, readings := range map[string][]reading{"alike": alike, "mixed": mixed} {
		if v, ok := least(readings, 0.1, 6); !ok || math.Abs(v-1) > 0.03 {
			t.Errorf("%s: %v, want 1", name, v)
		}
	}
	if _, ok := least(alike[:5], 0.1, 6); ok {
		t.Error("five readings were taken for six")
	}
}
