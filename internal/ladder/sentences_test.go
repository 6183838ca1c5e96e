package ladder

import (
	"math"
	"strings"
	"testing"

	"sizewright/internal/detail"
	"sizewright/internal/vision"
)

func TestTheVerdictIsWhatAPrintmakerWouldSay(t *testing.T) {
	fineGrass := spectrum(1, func(f float64) float64 { return 0.02 * math.Pow(f/0.5, 1) })
	tests := []struct {
		name  string
		s     *detail.Spectrum
		sizes []string
		want  string
	}{
		{"sharp", natural(1), nil,
			"Shows 17 % of its fine detail at A6, 75 % at A2: print this one large. It carries 40x60in, the largest of these (may look soft up close)."},
		{"fine", fineGrass, []string{"A4", "A2"},
			"Shows only 27 % of its fine detail at A4, and 58 % at A2: print this one larger than any of these. It carries A2, the largest of these."},
		{"half soft", natural(0.6), nil,
			"Shows 46 % of its fine detail at A6, 81 % at A4: print it at A4 or larger. It carries 40x60in, the largest of these (may look soft up close)."},
		{"one rung", fineGrass, []string{"A4"}, "Shows 27 % of its fine detail at A4, and the file carries it."},
		{"large forms", natural(0.15), nil, "Small is enough: 98 % of its fine detail is seen at A6. It carries up to A5 (may look soft up close from A6 on); larger, the file is too small."},
		{"mist", spectrum(1, func(float64) float64 { return 0.001 }), nil, "Has hardly any fine detail, so no size is too small to show it. It carries 40x60in, the largest of these (may look soft up close)."},
	}
	for _, test := range tests {
		l := New(saltMarsh(test.s), sizes(t, test.sizes...), Options{})
		if l.Verdict != test.want {
			t.Errorf("%s:\ngot  %s\nwant %s", test.name, l.Verdict, test.want)
		}
	}
}

// A verdict never recommends a size larger than the picture carries.
func TestWhatNeedsMoreThanItCarriesIsNotCalledLarge(t *testing.T) {
	hard := spectrum(1, func(float64) float64 { return 0.1 })
	l := New(saltMarsh(hard), sizes(t, "A2", "40x60in", "4x6m"), Options{Share: 0.97, Levels: func(string, float64) vision.Levels { return vision.Levels{Least: 250, Sharp: 250} }})
	if l.rung(l.Needs.Rung) == nil || l.rung(l.Needs.Rung).WidthMM <= mustRung(t, l, l.Carries.Rung).WidthMM {
		t.Fatalf("needs %+v, carries %+v", l.Needs, l.Carries)
	}
	if want := "Shows 92 % of its fine detail at A2; to show 97 % it would have to be 40x60in, and beyond A2 the file is too small: print it at A2, where 92 % is seen."; l.Verdict != want {
		t.Errorf("got  %s\nwant %s", l.Verdict, want)
	}
}

func TestARungIsToldInOneSentence(t *testing.T) {
	at := func(distance, seen float64) View { return View{DistanceMM: distance, Detail: seen} }
	tests := []struct {
		rung  Rung
		plain bool
		want  string
	}{
		{Rung{Look: at(517, 0.62), Near: at(250, 0.91), Verdict: vision.Carries}, false,
			"About 62 % of its fine detail is seen from 52 cm and 91 % from 25 cm; the file carries it."},
		{Rung{Look: at(829, 0.87), Near: at(250, 0.96), Verdict: vision.LookCloser, CountedLeastPPI: 104, SharpPPI: 134.3}, false,
			"About 87 % of its fine detail is seen from 83 cm and 96 % from 25 cm; the file carries it, but it may look soft up close: 104 ppi, where 134 look sharp."},
		{Rung{Look: at(255, 0.15), Near: at(250, 0.15), Verdict: vision.TooSmall, CountedMostPPI: 33.3, LeastPPI: 89.6}, false,
			"About 15 % of its fine detail is seen from 26 cm; the file is too small for it: 33 ppi, where 90 is the least."},
		{Rung{Verdict: vision.Carries}, true, "There is hardly any fine detail to see; the file carries it."},
	}
	for _, test := range tests {
		if got := rungSentence(test.rung, test.plain); got != test.want {
			t.Errorf("\ngot  %s\nwant %s", got, test.want)
		}
	}
}

func TestMegapixelsAreToldByWhatTheyHold(t *testing.T) {
	tests := []struct {
		l    Ladder
		want string
	}{
		{Ladder{Pixels: 24.1, Effective: 8.7}, "24 MP, with detail for about 8.7 MP"},
		{Ladder{Pixels: 25.96, Effective: 25.2}, "26 MP, with detail for all of them"},
		{Ladder{Pixels: 8.29, Effective: 0.05}, "8.3 MP, with detail for about 0.05 MP"},
		{Ladder{Pixels: 8.29, Plain: true}, "8.3 MP, with hardly any fine detail"},
	}
	for _, test := range tests {
		if got := holds(&test.l); got != test.want {
			t.Errorf("got %s, want %s", got, test.want)
		}
	}
}

func TestTheOutputSaysEstimate(t *testing.T) {
	l := New(saltMarsh(natural(1)), nil, Options{})
	if !strings.HasPrefix(l.Basis, "Estimate: ") || !strings.Contains(string(l.SVG()), ">Estimate. ") {
		t.Errorf("basis %q", l.Basis)
	}
}
