package render_test

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"sizewright/internal/config"
	"sizewright/internal/detail"
	"sizewright/internal/order"
	"sizewright/internal/render"
	"sizewright/internal/testkit/slantededge"
	"sizewright/internal/vision"
)

// Known pictures go through the whole print chain and are measured by package slantededge.

// ppis are the resolutions for which the claims are tested.
var ppis = func() []float64 {
	if underRace {
		return []float64{360}
	}
	return []float64{150, 240, 300, 360, 720}
}()

// pixels returns an order with exactly that many pixels at a resolution.
func pixels(t testing.TB, w, h int, ppi float64, change func(*config.Settings)) order.Order {
	t.Helper()
	name := fmt.Sprintf("%.4fx%.4fmm", float64(w)/ppi*25.4, float64(h)/ppi*25.4)
	return asked(t, name, func(s *config.Settings) {
		lenient(s)
		s.PPI, s.Compression, s.ViewingDistanceMM = ppi, "none", 550
		if change != nil {
			change(s)
		}
	})
}

// grey16 makes a picture from a plane of values 0..1.
func grey16(plane []float64, w, h int) *image.Gray16 {
	img := image.NewGray16(image.Rect(0, 0, w, h))
	for i, v := range plane {
		img.SetGray16(i%w, i/w, color.Gray16{sixteen(min(max(v, 0), 1))})
	}
	return img
}

// through prints a grey plane, with the given measurement or the picture's own.
func through(t testing.TB, plane []float64, w, h int, o order.Order, m *detail.Measurement) ([]float64, *order.Plan) {
	t.Helper()
	src := save(t, grey16(plane, w, h))
	if m == nil {
		own := detail.Measure(src)
		m = &own
	}
	p := order.NewPlan(&src.Info, o).WithMeasurement(order.Measured{Measurement: *m}, o)
	img := decode(t, carriedOut(t, p, src)).(*image.Gray16)
	out := make([]float64, p.Print.Width*p.Print.Height)
	for i := range out {
		out[i] = float64(img.Gray16At(i%p.Print.Width, i/p.Print.Width).Y) / 65535
	}
	return out, p
}

func edgeOf(t testing.TB, plane []float64, w, h int) *slantededge.Response {
	t.Helper()
	r, err := slantededge.Measure(plane, w, h)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func unsharpened(s *config.Settings) { s.OutputSharpening, s.PreSharpening = 0, 0 }

// gainOf returns the factor of output sharpening on the edge response, by frequency in
// cycles a print pixel. The edge is faint, so that no limit applies.
func gainOf(t testing.TB, ppi float64, change func(*config.Settings)) (gain func(f float64) float64, p *order.Plan) {
	t.Helper()
	const w, h = 320, 300
	plane := slantededge.Edge{Angle: 5, Low: 0.49, High: 0.51, Blur: 0.6}.Render(w, h)
	clean := &detail.Measurement{}
	plain, _ := through(t, plane, w, h, pixels(t, w, h, ppi, unsharpened), clean)
	sharp, p := through(t, plane, w, h, pixels(t, w, h, ppi, change), clean)
	a, b := edgeOf(t, plain, w, h), edgeOf(t, sharp, w, h)
	return func(f float64) float64 { return b.At(f) / a.At(f) }, p
}

func TestAnEdgesResponseRisesByWhatThePlanSays(t *testing.T) {
	for _, ppi := range ppis {
		gain, p := gainOf(t, ppi, nil)
		s := p.OutputSharpening
		got := gain(0.25 / s.RadiusPX)
		t.Logf("%v ppi, radius %.2f px: the plan says x %.3f, measured x %.3f", ppi, s.RadiusPX, s.Gain, got)
		if !s.Applied || math.Abs(got-s.Gain) > 0.03*s.Gain {
			t.Errorf("%v ppi: the response rises %.3f times, the plan says %.3f", ppi, got, s.Gain)
		}
	}
}

// The eye counts in cycles per degree: in that unit sharpening is the same at every
// printer resolution.
func TestSharpeningLooksTheSameAtEveryResolution(t *testing.T) {
	for _, perDegree := range []float64{4, 8, 12, 16, 24} {
		least, most := math.Inf(1), 0.0
		for _, ppi := range ppis {
			gain, p := gainOf(t, ppi, nil)
			mm := vision.LookDistance(p.Resolution.ViewingDistanceMM) * math.Tan(math.Pi/180) // per degree
			f := perDegree / mm / ppi * 25.4
			if f > 0.4 {
				continue // beyond the raster's frequencies
			}
			got := gain(f)
			least, most = min(least, got), max(most, got)
		}
		t.Logf("%v cycles a degree: x %.3f to x %.3f", perDegree, least, most)
		if most > 1.04*least {
			t.Errorf("%v cycles a degree rise %.3f to %.3f times over the resolutions", perDegree, least, most)
		}
	}
}

func TestAHaloStaysUnderItsStatedLimit(t *testing.T) {
	for _, ppi := range ppis {
		for _, surface := range []string{"glossy", "canvas"} {
			const w, h = 300, 290
			plane := slantededge.Edge{Angle: 5, Low: 0.2, High: 0.75, Blur: 0.5}.Render(w, h)
			for _, scale := range []int{1, 3} {
				out, p := through(t, plane, w, h, pixels(t, scale*w, scale*h, ppi, func(s *config.Settings) {
					s.Surface, s.OutputSharpening, s.BlurPX = surface, 2, 0.6
				}), &detail.Measurement{})
				r := edgeOf(t, out, scale*w, scale*h)
				limit := p.OutputSharpening.Limit
				if p.PreSharpening.Applied {
					limit += p.PreSharpening.Limit
				}
				if r.Over > limit || r.Under > limit {
					t.Errorf("%v ppi, %s, x %d: halos of %.4f and %.4f, stated %.4f", ppi, surface, scale, r.Over, r.Under, limit)
				}
				if r.Over < 0.01 {
					t.Errorf("%v ppi, %s, x %d: a halo of %.4f: was it sharpened at all?", ppi, surface, scale, r.Over)
				}
			}
		}
	}
}

// noisy returns a flat plane with Gaussian noise.
func noisy(w, h int, level, sigma float64) []float64 {
	r := rand.New(rand.NewPCG(7, uint64(w)))
	plane := make([]float64, w*h)
	for i := range plane {
		plane[i] = level + sigma*r.NormFloat64()
	}
	return plane
}

// deviation returns the standard deviation without a border, where the repeated edge adds noise of its own.
func deviation(plane []float64, w, h, border int) float64 {
	var n, sum, squares float64
	for y := border; y < h-border; y++ {
		for _, v := range plane[y*w+border : y*w+w-border] {
			n, sum, squares = n+1, sum+v, squares+v*v
		}
	}
	return math.Sqrt(squares/n - sum/n*sum/n)
}

func TestFlatNoiseIsHardlyAmplified(t *testing.T) {
	const w, h = 300, 290
	for level, sigmas := range map[float64][]float64{0.08: {0.004, 0.012}, 0.5: {0.012, 0.03}} {
		for _, sigma := range sigmas {
			plane := noisy(w, h, level, sigma)
			for _, scale := range []int{1, 3} {
				with := func(ppi float64, change func(*config.Settings)) float64 {
					out, _ := through(t, plane, w, h, pixels(t, scale*w, scale*h, ppi, change), nil)
					return deviation(out, scale*w, scale*h, 20*scale)
				}
				unsharpened := with(ppis[0], unsharpened) // the same pixels at any ppi
				for _, ppi := range ppis {
					gain := with(ppi, func(s *config.Settings) { s.Surface, s.BlurPX = "canvas", 0.7 }) / unsharpened
					if gain > order.NoiseGain {
						t.Errorf("noise of %v at %v, %v ppi, x %d: amplified %.3f times, stated %.2f", sigma, level, ppi, scale, gain, order.NoiseGain)
					}
				}
			}
		}
	}
}

// Demosaicing, denoising and JPEG spread noise over neighbouring pixels, so a reduction
// averages little of it out. Tones also differ: here half of the picture has half as much
// noise again as the measured half.
func TestNoiseOfAPhotographsKindIsHardlyAmplified(t *testing.T) {
	const w, h = 400, 240
	spread := noisy(w, h, 0, 0.012)
	for pass := range 2 { // (1 2 1)/4 in each direction
		step := []int{1, w}[pass]
		from := slices.Clone(spread)
		for i := w; i < len(spread)-w; i++ {
			spread[i] = (from[i-step] + 2*from[i] + from[i+step]) / 4
		}
	}
	plane := make([]float64, w*h)
	for i, v := range spread {
		if plane[i] = 0.4 + v; i%w >= w/2 {
			plane[i] = 0.6 + 1.5*v
		}
	}
	for _, scale := range []float64{0.35, 0.6, 1, 2} {
		pw, ph := int(scale*w), int(scale*h)
		with := func(change func(*config.Settings)) (calm, noisier float64) {
			o := tiny(t, pw, ph, change)
			out, _ := through(t, plane, w, h, o, nil)
			half := func(left int) (side []float64) {
				for y := range ph {
					side = append(side, out[y*pw+left:][:pw/2]...)
				}
				return side
			}
			border := int(10*scale) + 4
			return deviation(half(0), pw/2, ph, border), deviation(half(pw-pw/2), pw/2, ph, border)
		}
		for _, surface := range []string{"glossy", "canvas"} {
			calm, noisier := with(func(s *config.Settings) { s.Surface, s.BlurPX = surface, 0.7 })
			calm0, noisier0 := with(unsharpened)
			t.Logf("x %.2f, %s: x %.3f, and x %.3f where it is noisier", scale, surface, calm/calm0, noisier/noisier0)
			if calm > order.NoiseGain*calm0 || noisier > order.NoiseGain*noisier0 {
				t.Errorf("x %.2f, %s: amplified %.3f times, and %.3f where it is noisier; stated %.2f", scale, surface, calm/calm0, noisier/noisier0, order.NoiseGain)
			}
		}
	}
}

func TestPreSharpeningTakesBackTheBlurItSaysItDoes(t *testing.T) {
	const w, h, scale = 200, 160, 3
	for _, blur := range []float64{0.5, 0.8, 1.1} {
		plane := slantededge.Edge{Angle: 5, Low: 0.49, High: 0.51, Blur: blur}.Render(w, h)
		only := func(s *config.Settings) { s.OutputSharpening, s.BlurPX = 0, blur }
		sharp, p := through(t, plane, w, h, pixels(t, scale*w, scale*h, 360, only), &detail.Measurement{})
		plain, _ := through(t, plane, w, h, pixels(t, scale*w, scale*h, 360, unsharpened), &detail.Measurement{})
		f := min(0.25/blur, 0.3) // beyond the frequencies of the picture's own grid
		g := render.GaussianResponse(blur, f)
		want := 1 + p.PreSharpening.Amount*(1-g)*(2-g)
		f /= scale
		a, b := edgeOf(t, plain, scale*w, scale*h), edgeOf(t, sharp, scale*w, scale*h)
		got := b.At(f) / a.At(f)
		t.Logf("blur %v: x %.3f at %.2f cycles, by the plan x %.3f; 10-90 %% rise %.2f px becomes %.2f", blur, got, f*scale, want, a.Rise(), b.Rise())
		if !p.PreSharpening.Applied || math.Abs(got-want) > 0.05*want {
			t.Errorf("blur %v: the response rises %.3f times, the plan says %.3f", blur, got, want)
		}
		if b.Rise() >= a.Rise() {
			t.Errorf("blur %v: the edge's rise of %.2f px became %.2f", blur, a.Rise(), b.Rise())
		}
	}
}

func TestThePicturesOwnBlurIsFoundAndTakenBack(t *testing.T) {
	const w, h = 400, 300
	plane := slantededge.Edge{Angle: 12, Low: 0.2, High: 0.7, Blur: 0.9}.Render(w, h)
	_, p := through(t, plane, w, h, pixels(t, 2*w, 2*h, 360, nil), nil)
	if !p.PreSharpening.Applied || math.Abs(p.PreSharpening.RadiusPX-0.9) > 0.14 {
		t.Errorf("measured %+v and planned %+v, want a radius of 0.9", p.Measured, p.PreSharpening)
	}
}

func TestShadowsAreNotSharpened(t *testing.T) {
	const w, h = 200, 160
	plane := slantededge.Edge{Angle: 5, Low: 0.004, High: 0.018, Blur: 0.6}.Render(w, h)
	clean := &detail.Measurement{}
	plain, _ := through(t, plane, w, h, pixels(t, w, h, 360, unsharpened), clean)
	sharp, _ := through(t, plane, w, h, pixels(t, w, h, 360, nil), clean)
	for i := range plain {
		if plain[i] != sharp[i] {
			t.Fatalf("a shadow of %v became %v", plain[i], sharp[i])
		}
	}
}

// Stems, rigging and grass: a line thinner than two pixels, enlarged. Its height must not
// vary along it, nor its middle move, more than with plain Lanczos: at 8 degrees and
// sigma 0.6 that is 3.3 % and 0.158 px, a twentieth of a source pixel.
func TestAThinDiagonalLineHasNoStairSteps(t *testing.T) {
	const w, h, scale = 120, 120, 3
	for _, angle := range []float64{8, 20, 33, 43} {
		for _, sigma := range []float64{0.6, 0.8, 1.2} {
			plane := slantededge.Ridge(w, h, angle, sigma, 0.15, 0.85)
			out, _ := through(t, plane, w, h, pixels(t, scale*w, scale*h, 360, unsharpened), &detail.Measurement{})
			got, err := slantededge.Ripple(out, scale*w, scale*h, angle, 4*scale)
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%v degrees, sigma %v: height varies %.2f %%, middle %.3f px", angle, sigma, 100*got.Height, got.Wander)
			if got.Height > 0.025 || got.Wander > 0.15 {
				t.Errorf("%v degrees, sigma %v: height varies %.2f %%, middle %.3f px", angle, sigma, 100*got.Height, got.Wander)
			}
		}
	}
}

// Beyond the frequencies that the print can hold, a zone plate must become its mean, not slow waves.
func TestFineRegularTextureReducesWithoutMoire(t *testing.T) {
	const n = 720
	plane := slantededge.Zone(n, n)
	for i, v := range plane {
		plane[i] = encodedSRGB(v) // a sine of light: a sine of encoded values has harmonics, which would alias
	}
	mean := encodedSRGB(0.5)
	for _, reduce := range []int{2, 3} {
		m := n / reduce
		out, p := through(t, plane, n, n, pixels(t, m, m, 360, unsharpened), &detail.Measurement{})
		if p.Scale.Light != "linear" {
			t.Fatalf("planned as %+v", p.Scale)
		}
		var worst, sum, count float64
		for i, v := range out {
			// Radius in source pixels, and the frequency there in cycles a print pixel.
			r := math.Hypot(float64(i%m)-float64(m-1)/2, float64(i/m)-float64(m-1)/2) * float64(reduce)
			if f := r / n * float64(reduce); f > 0.8 && r < 0.47*n {
				worst, sum, count = max(worst, math.Abs(v-mean)), sum+(v-mean)*(v-mean), count+1
			}
		}
		t.Logf("reduced %d times: beyond the print's band, %.4f of contrast is left (rms), %.4f at most", reduce, math.Sqrt(sum/count), worst)
		if math.Sqrt(sum/count) > 0.01 || worst > 0.03 {
			t.Errorf("reduced %d times: %.4f rms and %.4f at most is left of what the print cannot hold", reduce, math.Sqrt(sum/count), worst)
		}
	}
}

// encodedSRGB is the transfer function of IEC 61966-2-1.
func encodedSRGB(light float64) float64 {
	if light <= 0.0031308 {
		return 12.92 * light
	}
	return 1.055*math.Pow(light, 1/2.4) - 0.055
}
