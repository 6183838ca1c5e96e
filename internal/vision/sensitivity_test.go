package vision

import (
	"math"
	"testing"
)

// within reports whether got is within a relative tolerance of want.
func within(got, want, share float64) bool { return math.Abs(got-want) <= share*math.Abs(want) }

// summit finds the maximum of f between lo and hi, in steps of a thousandth.
func summit(f func(float64) float64, lo, hi float64) (at, value float64) {
	for x := lo; x <= hi; x += 0.001 {
		if v := f(x); v > value {
			at, value = x, v
		}
	}
	return at, value
}

func TestMannosAndSakrisonPeakNearEightCyclesADegree(t *testing.T) {
	// "a maximum near 8 cycles per degree", normalised to about 1: the paper's
	// abstract and its figure, from memory.
	at, value := summit(MannosSakrison, 0, 60)
	if math.Abs(at-8) > 0.2 || !within(value, 1, 0.03) {
		t.Errorf("peak of %.3f at %.2f cycles/degree", value, at)
	}
	// A(0) = 2.6 x 0.0192.
	if got := MannosSakrison(0); !within(got, 0.04992, 1e-12) {
		t.Errorf("A(0) = %g", got)
	}
}

// model is Barten's model of 1999, of which the formula of 2004 is the short form, for a
// square field: sigma of the eye's optics from its pupil, photon and neural noise, and
// the limits of integration.
func model(f, pupilMM, trolands, fieldDegrees float64) float64 {
	const (
		signalToNoise = 3
		seconds       = 0.1
		widestDegrees = 12
		mostCycles    = 15
		quantum       = 0.03     // efficiency
		photons       = 1.2274e6 // per second, degree² and troland
		neural        = 3e-8     // seconds degree²
		inhibitory    = 7        // cycles per degree
	)
	sigma := math.Hypot(0.5, 0.08*pupilMM) / 60
	optics := math.Exp(-2 * math.Pow(math.Pi*sigma*f, 2))
	area := 1/(fieldDegrees*fieldDegrees) + 1.0/(widestDegrees*widestDegrees) + f*f/(mostCycles*mostCycles)
	noise := 1/(quantum*photons*trolands) + neural/(1-math.Exp(-math.Pow(f/inhibitory, 2)))
	return optics / signalToNoise / math.Sqrt(2/seconds*area*noise)
}

// pupil returns the natural diameter of the pupil in mm and the retinal illuminance in
// trolands with the Stiles-Crawford effect, as in Barten (1999).
func pupil(luminance, fieldDegrees float64) (mm, trolands float64) {
	d := 5 - 3*math.Tanh(0.4*math.Log10(luminance*fieldDegrees*fieldDegrees/1600))
	return d, math.Pi * d * d / 4 * luminance * (1 - math.Pow(d/9.7, 2) + math.Pow(d/12.4, 4))
}

func TestTheShortFormulaIsTheModelThatItShortens(t *testing.T) {
	// The documentation of the library colour-science has this value of the model for 4
	// cycles/degree, a field of 60 degrees, a pupil of 2.1 mm and 66.08231606 trolands
	// (20 cd/m²).
	if got := model(4, 2.1, 66.08231606052992, 60); !within(got, 360.8691122, 1e-6) {
		t.Fatalf("model(4) = %.7f", got)
	}
	for _, luminance := range []float64{10, 30, 100, 300, 1000} {
		worst := 0.0
		for f := 1.0; f <= 30; f++ {
			mm, trolands := pupil(luminance, 10)
			ratio := Barten(f, luminance, 10) / model(f, mm, trolands, 10)
			worst = max(worst, math.Abs(math.Log(ratio)))
		}
		t.Logf("%4.0f cd/m²: at most %.0f %%", luminance, 100*math.Expm1(worst))
		if math.Expm1(worst) > 0.20 {
			t.Errorf("at %g cd/m² the short formula is %.0f %% off", luminance, 100*math.Expm1(worst))
		}
	}
}

func TestSensitivityPeaksAtAFewCyclesAndEndsAtFiftyOrSixty(t *testing.T) {
	usual := DefaultViewer()
	at, value := summit(usual.Sensitivity, 0.1, 60)
	// F. L. van Nes and M. A. Bouman, JOSA 57 (1967): in good light the peak is at 2 to
	// 6 cycles/degree and about 500 there. From memory, so to a factor of 1.5.
	if at < 2 || at > 6 || value < 500/1.5 || value > 500*1.5 {
		t.Errorf("peak of %.0f at %.2f cycles/degree", value, at)
	}
	// F. W. Campbell and D. G. Green, J. Physiol. 181 (1965): with natural optics full
	// contrast is seen up to 50 to 60 cycles/degree. From memory.
	end := 1.0
	for usual.Sensitivity(end) > 1 {
		end += 0.01
	}
	if end < 45 || end > 60 {
		t.Errorf("full contrast is seen up to %.1f cycles/degree", end)
	}
	t.Logf("peak %.0f at %.2f, end at %.1f cycles/degree", value, at, end)
}

func TestMoreLightShowsMore(t *testing.T) {
	for _, f := range []float64{1, 4, 12, 30} {
		for _, l := range []float64{1, 10, 100} {
			if Barten(f, l, 10) >= Barten(f, 10*l, 10) {
				t.Errorf("at %g cycles/degree, %g cd/m² shows as much as ten times that", f, l)
			}
		}
	}
}

func TestALargerFieldShowsMoreAndEndsToMatter(t *testing.T) {
	if Barten(2, 100, 1) >= Barten(2, 100, 10) {
		t.Error("a field of 1 degree shows as much as one of 10")
	}
	if a, b := Barten(30, 100, 10), Barten(30, 100, 60); !within(a, b, 0.01) {
		t.Errorf("fine detail needs a field beyond 10 degrees: %.2f there, %.2f at 60", a, b)
	}
}
