package order

import (
	"math"
	"strings"
	"testing"

	"sizewright/internal/config"
	"sizewright/internal/detail"
	"sizewright/internal/render"
)

// planned is the complete plan of a 26-megapixel picture of usual softness and noise.
func planned(t testing.TB, folder string, change func(*config.Settings)) *Plan {
	t.Helper()
	o := asked(t, folder, change)
	return NewPlan(picture(6240, 4160), o).WithMeasurement(Measured{Measurement: detail.Measurement{Noise: 0.004, NoiseDark: 0.004, Blur: 0.7, Edges: 300}}, o)
}

func TestPreSharpeningGrowsWithEnlargement(t *testing.T) {
	last := -1.0
	for _, folder := range []string{"A4", "A3", "A2", "A1", "24x36in", "40x60in"} {
		p := planned(t, folder, nil)
		s := p.PreSharpening
		if s.Applied != (p.enlarges() > 1) {
			t.Errorf("%s, scale %.2f: %+v", folder, p.Scale.X, s)
		}
		if s.Amount < last || s.Amount > preAmount {
			t.Errorf("%s, scale %.2f: an amount of %v after %v", folder, p.Scale.X, s.Amount, last)
		}
		last = s.Amount
	}
	if last != preAmount {
		t.Errorf("the largest has %v of %v", last, preAmount)
	}
}

func TestPreSharpeningAddsOnlyWhatANetworkDoesNot(t *testing.T) {
	o := asked(t, "40x60in", func(s *config.Settings) { s.Enlarge = config.EnlargeLearned })
	bare := NewPlan(picture(6240, 4160), o)
	with := func(gain float64) *Plan {
		tried := render.Tried{Learned: render.Learned{Weights: bare.network(o.Settings).Digest, Share: 0.8}, Gain: gain}
		return bare.WithMeasurement(Measured{Measurement: detail.Measurement{Noise: 0.004, Blur: 0.7, Edges: 300}, Learned: []render.Tried{tried}}, o)
	}
	none, some, all := with(1).PreSharpening, with(1.1).PreSharpening, with(2).PreSharpening
	if math.Abs(none.Gain/some.Gain-1.1) > 0.002 || some.Amount >= none.Amount || !some.Applied {
		t.Errorf("a network that adds a tenth: %+v after %+v", some, none)
	}
	if all.Applied || all.Gain != 1 || !strings.HasPrefix(all.Why, "the network adds 100 %") {
		t.Errorf("a network that doubles the contrast: %+v", all)
	}
}

func TestPreSharpeningNeedsABlurToTakeBack(t *testing.T) {
	o := asked(t, "40x60in", nil)
	bare := NewPlan(picture(6240, 4160), o)
	for _, c := range []struct {
		name string
		m    *detail.Measurement
		blur float64 // set
		want bool
	}{
		{"not measured", nil, 0, false}, {"not measured but set", nil, 0.8, true},
		{"no edges", &detail.Measurement{Noise: 0.01}, 0, false}, {"as sharp as pixels are", &detail.Measurement{Edges: 99}, 0, false},
		{"soft", &detail.Measurement{Blur: 2, Edges: 99}, 0, true},
	} {
		set := o
		set.Settings.BlurPX = c.blur
		p := NewPlan(picture(6240, 4160), set)
		if c.m != nil {
			p = bare.WithMeasurement(Measured{Measurement: *c.m}, set)
		}
		if s := p.PreSharpening; s.Applied != c.want || s.RadiusPX > preMostPX || s.Why == "" {
			t.Errorf("%s: %+v", c.name, s)
		}
	}
	if bare.Measured != nil {
		t.Error("WithMeasurement changed the plan it was asked of")
	}
}

func TestSharpeningIsForTheSurface(t *testing.T) {
	last := 0.0
	for _, surface := range []string{"glossy", "lustre", "matte", "canvas"} {
		s := planned(t, "A2", func(s *config.Settings) { s.Surface = surface }).OutputSharpening
		if s.Amount <= last {
			t.Errorf("%s has an amount of %v, the smoother one before %v", surface, s.Amount, last)
		}
		last = s.Amount
	}
}

// One minute of arc at the geometric mean of 250 mm and the viewing distance:
// from 1 m that is 500 mm, and 500 mm x tan 1' = 0.1454 mm.
func TestTheRadiusIsAMinuteOfArcOnPaperAtEveryResolution(t *testing.T) {
	for _, ppi := range []float64{240, 300, 360, 720} {
		s := planned(t, "A2", func(s *config.Settings) { s.PPI, s.ViewingDistanceMM = ppi, 1000 }).OutputSharpening
		if math.Abs(s.RadiusMM-0.1454) > 0.0002 || math.Abs(s.RadiusPX-0.1454*ppi/25.4) > 0.003 {
			t.Errorf("%v ppi: %v mm, %v px", ppi, s.RadiusMM, s.RadiusPX)
		}
	}
	near := planned(t, "A6", nil).OutputSharpening
	far := planned(t, "40x60in", nil).OutputSharpening
	if near.RadiusMM >= far.RadiusMM {
		t.Errorf("%v mm for a card in the hand and %v for a wall piece", near.RadiusMM, far.RadiusMM)
	}
}

func TestOutputSharpeningIsEasedAfterPreSharpeningAndMuchEnlarging(t *testing.T) {
	at := func(folder string, pre float64) Sharpening {
		return planned(t, folder, func(s *config.Settings) { s.PreSharpening = pre }).OutputSharpening
	}
	if small, large := at("A2", 1), at("60x90in", 1); large.Amount >= small.Amount || large.Amount < small.Amount/2 {
		t.Errorf("an amount of %v at A2 and %v at 60x90 in", small.Amount, large.Amount)
	}
	if small, large := at("A2", 0), at("60x90in", 0); large.Amount != small.Amount {
		t.Errorf("without pre-sharpening an amount of %v at A2 and %v at 60x90 in", small.Amount, large.Amount)
	}
}

// Worked by hand: 15 cycles a degree is f = 1.71 in the formula of Mannos and
// Sakrison, 2.6 (0.0192 + 1.71) exp(-1.71^1.1) = 0.740, so the threshold is
// 1/148 = 0.00676; beside an edge of 0.8 it is 0.00676 (0.8/0.00676)^0.6 = 0.1186;
// and 0.5 x 2 x 0.1186 / 2.2 = 0.0539.
func TestAHaloIsLimitedToWhatTheEyeJustNotices(t *testing.T) {
	if math.Abs(outputLimit-0.0539) > 0.0002 {
		t.Errorf("the limit is %.4f, worked by hand 0.0539", outputLimit)
	}
	if wide := haloLimit(1000); wide >= outputLimit {
		t.Errorf("a halo three times as wide may be as strong: %.4f", wide)
	}
}

func TestASoftKernelIsMadeGoodAndASharpOneNeedsNothing(t *testing.T) {
	for kernel, want := range map[string]bool{"lanczos3": false, "lanczos4": false, "mitchell": true, "b-spline": true} {
		s := planned(t, "40x60in", func(s *config.Settings) { s.Kernel = kernel }).ScaleSharpening
		if s.Applied != want {
			t.Errorf("%s: %+v", kernel, s)
		}
	}
}

func TestNoisierPicturesAreHeldBackMore(t *testing.T) {
	o := asked(t, "40x60in", nil)
	last := -1.0
	for _, noise := range []float64{0, 0.002, 0.01, 0.03} {
		p := NewPlan(picture(6240, 4160), o).WithMeasurement(Measured{Measurement: detail.Measurement{Noise: noise, NoiseDark: noise, Blur: 0.7, Edges: 300}}, o)
		if p.OutputSharpening.Noise <= last || noise > 0 && p.PreSharpening.Noise <= 0 {
			t.Errorf("noise of %v: %+v", noise, p.OutputSharpening)
		}
		last = p.OutputSharpening.Noise
	}
	dark := NewPlan(picture(6240, 4160), o).WithMeasurement(Measured{Measurement: detail.Measurement{Noise: 0.004, NoiseDark: 0.012, Blur: 0.7, Edges: 300}}, o)
	if even := planned(t, "40x60in", nil); dark.OutputSharpening.Shadow <= even.OutputSharpening.Shadow {
		t.Errorf("noisy shadows are spared below %v, even ones below %v", dark.OutputSharpening.Shadow, even.OutputSharpening.Shadow)
	}
}

func TestGrainIsForLargeEnlargements(t *testing.T) {
	grainy := func(s *config.Settings) { s.Grain = 1 }
	if p := planned(t, "A3", grainy); p.Grain.Applied {
		t.Errorf("A3 has %+v", p.Grain)
	}
	if p := planned(t, "40x60in", grainy); !p.Grain.Applied {
		t.Errorf("40x60 in has %+v", p.Grain)
	}
}
