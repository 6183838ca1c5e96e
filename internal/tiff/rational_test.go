package tiff

import (
	"fmt"
	"math"
	"testing"
)

func TestPPIBecomesTheFractionMeant(t *testing.T) {
	for _, c := range []struct {
		ppi  float64
		want string
	}{
		{360, "360/1"},
		{300, "300/1"},
		{72.5, "145/2"},
		{359.9999, "3599999/10000"},
		{240.1235, "480247/2000"},
		{0.0001, "1/10000"},
		{429496.7295, "858993459/2000"}, // the largest numerator over 10000
		{4294967295, "4294967295/1"},    // the largest TIFF holds
		{1000.0 / 3, "1000/3"},
	} {
		if got := RationalPPI(c.ppi); got.String() != c.want {
			t.Errorf("RationalPPI(%v) = %v, want %s", c.ppi, got, c.want)
		}
	}
}

// Every decimal of four places is exact: checked over a run of them, far from
// zero, where floating point is coarsest.
func TestFourDecimalsAreExact(t *testing.T) {
	for tenThousandths := uint64(4294960000); tenThousandths <= 4294967295; tenThousandths++ {
		var ppi float64
		if _, err := fmt.Sscanf(fmt.Sprintf("%d.%04d", tenThousandths/10000, tenThousandths%10000), "%g", &ppi); err != nil {
			t.Fatal(err)
		}
		r := RationalPPI(ppi)
		if uint64(r.Num)*10000 != tenThousandths*uint64(r.Den) {
			t.Fatalf("RationalPPI(%v) = %v", ppi, r)
		}
	}
}

func TestOtherNumbersComeAsNearAs32BitsAllow(t *testing.T) {
	for _, ppi := range []float64{118.1102 * 2.54, math.Pi * 100, math.Sqrt2, 1e-5 / 3, 123456.78901234} {
		r := RationalPPI(ppi)
		if off := math.Abs(value(r) - ppi); off > 1/float64(r.Den) {
			t.Errorf("RationalPPI(%v) = %v, off by %g", ppi, r, off)
		}
	}
	// 355/113 is a well-known convergent of pi; 32 bits allow a much closer one.
	if r := RationalPPI(math.Pi); math.Abs(value(r)-math.Pi) > 1e-15 {
		t.Errorf("pi is %v", r)
	}
}

func TestWhatIsNoResolutionHasNoFraction(t *testing.T) {
	for _, ppi := range []float64{0, -300, math.NaN(), math.Inf(1), math.Inf(-1), 1 << 32, 1e-12, math.SmallestNonzeroFloat64} {
		if r := RationalPPI(ppi); r != (Rational{}) {
			t.Errorf("RationalPPI(%v) = %v", ppi, r)
		}
	}
}

// value returns r as the nearest float64.
func value(r Rational) float64 { return float64(r.Num) / float64(r.Den) }
