package vision

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestNothingIsSeenLessForComingNearer(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 60 {
		v := Viewer{Acuity: 0.3 + 2*r.Float64(), LuminanceCDM2: math.Exp(7 * r.Float64()), FieldDegrees: 1 + 40*r.Float64()}
		e := v.Envelope()
		last := math.Inf(1)
		for f := 0.01; f < 200; f *= 1.01 {
			s := e.At(f)
			if s > last {
				t.Fatalf("%+v: sensitivity rises to %g at %g cycles/degree", v, s, f)
			}
			if s < v.Sensitivity(f) && f < e.peak*0.999 {
				t.Fatalf("%+v: the envelope is under the curve at %g cycles/degree", v, f)
			}
			last = s
		}
	}
}

func TestTheEnvelopeIsTheCurveBeyondItsPeak(t *testing.T) {
	v := DefaultViewer()
	e := v.Envelope()
	at, value := summit(v.Sensitivity, 0.1, 60)
	if !within(e.peak, at, 0.001) || !within(e.At(0), value, 1e-6) {
		t.Errorf("peak of %.3f at %.4f, is %.3f at %.4f", e.At(0), e.peak, value, at)
	}
	for _, f := range []float64{8, 20, 45} {
		if e.At(f) != v.Sensitivity(f) {
			t.Errorf("the envelope leaves the curve at %g cycles/degree", f)
		}
	}
}

func TestTwiceTheAcuitySeesTwiceAsFine(t *testing.T) {
	sharp, weak := DefaultViewer(), DefaultViewer()
	sharp.Acuity, weak.Acuity = 2, 0.5
	for _, f := range []float64{2, 10, 30} {
		want := DefaultViewer().Sensitivity(f)
		if got := sharp.Sensitivity(2 * f); got != want {
			t.Errorf("acuity 2 at %g cycles/degree: %g, want %g", 2*f, got, want)
		}
		if got := weak.Sensitivity(f / 2); got != want {
			t.Errorf("acuity 0.5 at %g cycles/degree: %g, want %g", f/2, got, want)
		}
	}
}

func TestWhatIsNotSaidOfAViewerIsUsual(t *testing.T) {
	if got := (Viewer{}).WithDefaults(); got != DefaultViewer() {
		t.Errorf("got %+v", got)
	}
	if got := (Viewer{Acuity: 0.6, LuminanceCDM2: math.NaN(), FieldDegrees: -1}).WithDefaults(); got != (Viewer{0.6, 100, 10}) {
		t.Errorf("got %+v", got)
	}
}

// The closed form equals the mean over contrasts drawn from an exponential distribution,
// each minus the threshold.
func TestTheVisibleShareIsWhatIsLeftAboveTheThreshold(t *testing.T) {
	e := DefaultViewer().Envelope()
	r := rand.New(rand.NewPCG(3, 4))
	for _, f := range []float64{5, 20, 35} {
		threshold := 1 / e.At(f)
		for _, mean := range []float64{0.5 * threshold, threshold, 4 * threshold} {
			const n = 400_000
			left, all := 0.0, 0.0
			for range n {
				c := mean * r.ExpFloat64()
				all += c
				left += max(c-threshold, 0)
			}
			if got, want := e.VisibleShare(f, mean), left/all; math.Abs(got-want) > 0.005 {
				t.Errorf("%g cycles/degree, mean %.4f: %.4f, drawn %.4f", f, mean, got, want)
			}
		}
	}
	for _, mean := range []float64{0, -1, math.NaN()} {
		if got := e.VisibleShare(5, mean); got != 0 {
			t.Errorf("a mean contrast of %g gives %g", mean, got)
		}
	}
}
