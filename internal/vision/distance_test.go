package vision

import (
	"math"
	"testing"
)

func TestTanMinuteIsTheTangentOfOneMinuteOfArc(t *testing.T) {
	if want := math.Tan(math.Pi / 180 / 60); !within(TanMinute, want, 1e-15) {
		t.Errorf("TanMinute = %v, want %v", TanMinute, want)
	}
	// Prints have been made with these bits.
	if bits := math.Float64bits(TanMinute); bits != 0x3f33104b60d4f9f7 {
		t.Errorf("TanMinute has the bits %x", bits)
	}
}

// One minute of arc at 254 mm is 254 tan(1/60 degree) = 0.07389 mm, 1/343.8 of an inch:
// arithmetic, acuity by ISO 8596.
func TestAnEyeResolves344PixelsAnInchAt254MM(t *testing.T) {
	tests := []struct{ mm, acuity, want float64 }{
		{254, 1, 343.77},
		{250, 1, 349.27},
		{508, 1, 171.89},
		{1000, 1, 87.32},
		{254, 0.5, 171.89},
		{254, 1.5, 515.66},
	}
	for _, test := range tests {
		if got := ResolvablePPI(test.mm, test.acuity); math.Abs(got-test.want) > 0.01 {
			t.Errorf("ResolvablePPI(%g, %g) = %.3f, want %.2f", test.mm, test.acuity, got, test.want)
		}
	}
}

func TestADegreeHoldsSixtyOfThePixelsThatAnEyeResolves(t *testing.T) {
	for _, mm := range []float64{250, 254, 700, 2747} {
		if got := PixelsPerDegree(ResolvablePPI(mm, 1), mm); !within(got, 60, 1e-6) {
			t.Errorf("at %g mm: %.6f", mm, got)
		}
	}
	// 360 ppi at 250 mm: 14.173 px/mm x 4.3633 mm/degree.
	if got := PixelsPerDegree(360, 250); !within(got, 61.842, 1e-4) {
		t.Errorf("360 ppi at 250 mm: %.3f px/degree", got)
	}
}

func TestPeopleStandBackAndThenComeNearer(t *testing.T) {
	tests := []struct {
		name                    string
		diagonal, viewing, look float64
	}{
		{"a card", 100, 250, 250},
		{"A4", math.Hypot(210, 297), 545.6, 369.3},
		{"40x60 in", math.Hypot(1016, 1524), 2747.4, 828.8},
	}
	for _, test := range tests {
		viewing := ViewingDistance(test.diagonal)
		look := LookDistance(viewing)
		if math.Abs(viewing-test.viewing) > 0.1 || math.Abs(look-test.look) > 0.1 {
			t.Errorf("%s: seen from %.1f mm, judged from %.1f; want %.1f and %.1f", test.name, viewing, look, test.viewing, test.look)
		}
	}
	if got := LookDistance(100); got != NearPointMM {
		t.Errorf("an eye focuses no nearer than the near point, not at %g mm", got)
	}
}
