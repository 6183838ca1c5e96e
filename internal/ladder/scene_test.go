package ladder

import (
	"math"
	"math/rand/v2"
	"testing"

	"sizewright/internal/vision"
)

// Exactly: never even one bit less, for random spectra, viewers and printers.
func TestDetailSeenNeverFallsAsSizeGrowsAtAFixedDistance(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 60 {
		o := Options{
			PPI:    100 + 1000*r.Float64(),
			Viewer: vision.Viewer{Acuity: 0.3 + 1.7*r.Float64(), LuminanceCDM2: math.Exp(7 * r.Float64())},
		}
		s := newScene(saltMarsh(random(r)), o.withDefaults())
		distance := 250 * math.Exp(3*r.Float64())
		lastSeen := -1.0
		for pitch := 0.002; pitch < 3; pitch *= 1.02 {
			seen := s.detail(pitch, distance)
			if seen < lastSeen || seen < 0 || seen > 1 {
				t.Fatalf("%.17g of the detail is seen at %g mm a pixel, after %.17g", seen, pitch, lastSeen)
			}
			lastSeen = seen
		}
	}
}

// A larger pitch has a larger look distance, but the distance grows less.
func TestSizeGivesOnComingNearer(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 60 {
		l := New(saltMarsh(random(r)), nil, Options{})
		for i, rung := range l.Rungs {
			if rung.Near.Detail < rung.Look.Detail || rung.Look.Detail < rung.Usual.Detail {
				t.Fatalf("coming nearer shows less at %s: %+v", rung.Name, rung)
			}
			if i > 0 && rung.Look.Detail < l.Rungs[i-1].Look.Detail {
				t.Fatalf("%s shows less than %s at the look distance", rung.Name, l.Rungs[i-1].Name)
			}
		}
	}
}

// From 1.5 diagonals every print fills the same visual angle.
func TestFromWherePeopleStandSizeGivesNothing(t *testing.T) {
	l := New(saltMarsh(natural(1)), sizes(t, "A5", "A3", "40x60in"), Options{})
	want := l.Rungs[0].Usual
	for _, r := range l.Rungs {
		if !near(r.Usual.Detail, want.Detail, 1e-3) || !near(r.Usual.PixelsPerDegree, want.PixelsPerDegree, 0.1) {
			t.Errorf("%s: %+v, want %+v", r.Name, r.Usual, want)
		}
	}
}

func TestMoreLightAndBetterEyesShowMore(t *testing.T) {
	seen := func(v vision.Viewer) float64 {
		return mustRung(t, New(saltMarsh(natural(1)), nil, Options{Viewer: v}), "A4").Look.Detail
	}
	if dim, lit := seen(vision.Viewer{LuminanceCDM2: 5}), seen(vision.Viewer{LuminanceCDM2: 300}); dim >= lit {
		t.Errorf("%.3f in dim light, %.3f in good", dim, lit)
	}
	if weak, sharp := seen(vision.Viewer{Acuity: 0.5}), seen(vision.Viewer{Acuity: 1.5}); weak >= sharp {
		t.Errorf("%.3f with acuity 0.5, %.3f with 1.5", weak, sharp)
	}
}

func TestWhatThePrinterCannotPrintIsNotSeen(t *testing.T) {
	at := func(ppi float64) View {
		return mustRung(t, New(saltMarsh(natural(1)), nil, Options{PPI: ppi}), "A6").Near
	}
	coarse, usual, finest := at(180), at(360), at(1440)
	if !(coarse.Detail < usual.Detail && usual.Detail <= finest.Detail) {
		t.Errorf("at 25 cm an A6 shows %.3f at 180 ppi, %.3f at 360, %.3f at 1440", coarse.Detail, usual.Detail, finest.Detail)
	}
}

// 2.2/0.5 against the derivative of L = v^2.2 at mid-grey: a Michelson contrast is
// half of peak to trough over the mean.
func TestAStepOfLumaIsFourTimesThatOfLuminance(t *testing.T) {
	const step = 1e-4
	light, dark := math.Pow(0.5+step, 2.2), math.Pow(0.5-step, 2.2)
	if got := (light - dark) / (light + dark) / step; !near(got, perLuma, 1e-6) {
		t.Errorf("got %.6f, want %g", got, perLuma)
	}
}
