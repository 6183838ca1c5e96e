package printsize

import (
	"fmt"
	"math"
	"testing"
)

// ISO 216:2007, the A and B series, millimetres.
var (
	isoA = [][2]float64{{841, 1189}, {594, 841}, {420, 594}, {297, 420}, {210, 297}, {148, 210}, {105, 148}, {74, 105}, {52, 74}, {37, 52}, {26, 37}}
	isoB = [][2]float64{{1000, 1414}, {707, 1000}, {500, 707}, {353, 500}, {250, 353}, {176, 250}, {125, 176}, {88, 125}, {62, 88}, {44, 62}, {31, 44}}
)

func TestISONamesAreTheStandardsMillimetres(t *testing.T) {
	for series, table := range map[string][][2]float64{"A": isoA, "B": isoB} {
		for n, want := range table {
			name := fmt.Sprint(series, n)
			size, err := ParseSize(name)
			if err != nil {
				t.Fatal(err)
			}
			if size != (mm(name, want[0], want[1])) {
				t.Errorf("%s is %v by %v mm, ISO 216 says %v", name, size.WidthMM, size.HeightMM, want)
			}
		}
	}
}

// Each size is the one before cut in half across its long side, the half
// millimetre of an odd side lost to the cut.
func TestEachISOSizeIsHalfOfTheOneBefore(t *testing.T) {
	for _, series := range []string{"A", "B"} {
		for n := 1; n <= 10; n++ {
			before, this := mustParse(t, fmt.Sprint(series, n-1)), mustParse(t, fmt.Sprint(series, n))
			if this.HeightMM != before.WidthMM || this.WidthMM != math.Floor(before.HeightMM/2) {
				t.Errorf("%v (%v x %v) is not %v (%v x %v) halved", this,
					this.WidthMM, this.HeightMM, before, before.WidthMM, before.HeightMM)
			}
		}
	}
}

// ISO 216: A0 is a square metre, every sheet's sides are as 1 to the square
// root of 2, and B(n) is the geometric mean of A(n) and A(n-1).
func TestISOSizesKeepTheStandardsPrinciples(t *testing.T) {
	for n := 0; n <= 10; n++ {
		k := math.Exp2(-float64(n) / 2)
		within1MM(t, fmt.Sprint("A", n), 1000*k/math.Sqrt(math.Sqrt2), 1000*k*math.Sqrt(math.Sqrt2))
		within1MM(t, fmt.Sprint("B", n), 1000*k, 1000*k*math.Sqrt2)
		if n > 0 {
			a, larger := mustParse(t, fmt.Sprint("A", n)), mustParse(t, fmt.Sprint("A", n-1))
			within1MM(t, fmt.Sprint("B", n), math.Sqrt(a.WidthMM*larger.WidthMM), math.Sqrt(a.HeightMM*larger.HeightMM))
		}
	}
}

// DIN 476, as listed in the LilyPond Notation Reference, A.5.
func TestLargerThanA0(t *testing.T) {
	if got := mustParse(t, "2A0"); got != (mm("2A0", 1189, 1682)) {
		t.Errorf("2A0 is %+v", got)
	}
	if got := mustParse(t, "4A0"); got != (mm("4A0", 1682, 2378)) {
		t.Errorf("4A0 is %+v", got)
	}
}

// Common practice, no source.
func TestA3PlusIsAnA3WithRoomToTrim(t *testing.T) {
	a3, plus := mustParse(t, "A3"), mustParse(t, "A3+")
	if plus != (mm("A3+", 329, 483)) {
		t.Errorf("A3+ is %+v", plus)
	}
	if plus.ShortMM() <= a3.ShortMM() || plus.LongMM() <= a3.LongMM() {
		t.Error("no room to trim")
	}
}

// within1MM allows for the standard's own rounding.
func within1MM(t *testing.T, name string, w, h float64) {
	t.Helper()
	size := mustParse(t, name)
	if math.Abs(size.WidthMM-w) >= 1 || math.Abs(size.HeightMM-h) >= 1 {
		t.Errorf("%s is %v x %v mm, in principle %.2f x %.2f", name, size.WidthMM, size.HeightMM, w, h)
	}
}

func mustParse(t *testing.T, name string) Size {
	t.Helper()
	size, err := ParseSize(name)
	if err != nil {
		t.Fatal(err)
	}
	return size
}
