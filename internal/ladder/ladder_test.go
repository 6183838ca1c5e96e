package ladder

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"sizewright/internal/detail"
	"sizewright/internal/printsize"
	"sizewright/internal/vision"
)

func names(l *Ladder) []string {
	var all []string
	for _, r := range l.Rungs {
		all = append(all, r.Name)
	}
	return all
}

func TestTheUsualRungsGoFromAPostcardToAWall(t *testing.T) {
	want := []string{"A6", "A5", "A4", "A3", "A3+", "A2", "24x36in", "40x60in"}
	if got := names(New(saltMarsh(natural(1)), nil, Options{})); !slices.Equal(got, want) {
		t.Errorf("got %v", got)
	}
	given := sizes(t, "40x60in", "A4", "24x36in")
	if got := names(New(saltMarsh(natural(1)), given, Options{})); !slices.Equal(got, []string{"A4", "24x36in", "40x60in"}) {
		t.Errorf("got %v", got)
	}
	if given[0].Name != "40x60in" {
		t.Error("the caller's sizes were sorted")
	}
}

func TestARungIsArithmetic(t *testing.T) {
	l := New(saltMarsh(natural(1)), nil, Options{})
	tests := []struct {
		name                                                string
		width, height, native, scale, usual, look, sameView float64
	}{
		// 6240 px on 594 mm are 266.8 an inch; 360 / 266.8 = 1.349. The print's
		// diagonal is 713.9 mm: 1070.8 mm is one and a half, 517 mm the geometric mean
		// with 250. The reference, 40x60 in, is seen from 2747 mm: 2747 x 594 / 1524.
		{"A2", 594, 396, 266.8, 1.349, 1071, 517, 1071},
		// 6240 px on 60 in.
		{"40x60in", 1524, 1016, 104, 3.462, 2747, 829, 2747},
		// 148 mm wide, diagonal 177.9: 267 mm.
		{"A6", 148, 98.7, 1070.9, 0.336, 267, 258, 267},
	}
	for _, w := range tests {
		r := mustRung(t, l, w.name)
		got := []float64{r.WidthMM, r.HeightMM, r.NativePPI, r.Scale, r.Usual.DistanceMM, r.Look.DistanceMM, r.SameViewMM}
		want := []float64{w.width, w.height, w.native, w.scale, w.usual, w.look, w.sameView}
		if !slices.EqualFunc(got, want, func(a, b float64) bool { return near(a, b, 1e-9) }) {
			t.Errorf("%s:\ngot  %v\nwant %v", w.name, got, want)
		}
	}
	portrait := New(Picture{Name: "reeds.tif", Width: 4160, Height: 6240, Spectrum: natural(1)}, nil, Options{})
	if r := mustRung(t, portrait, "A2"); r.HeightMM != 594 || r.NativePPI != 266.8 {
		t.Errorf("an upright picture is printed sideways: %+v", r)
	}
}

func TestAWallAtThreeMetresIsSeenAndJudgedFromThreeMetres(t *testing.T) {
	l := New(saltMarsh(natural(1)), nil, Options{DistanceMM: 3000, Reference: "A2"})
	for _, r := range l.Rungs {
		if r.Usual.DistanceMM != 3000 || r.Look != r.Usual || r.Near.DistanceMM != 250 {
			t.Errorf("%s: from %g, %g and %g mm", r.Name, r.Usual.DistanceMM, r.Look.DistanceMM, r.Near.DistanceMM)
		}
	}
	if got := mustRung(t, l, "40x60in").SameViewMM; !near(got, 3000*1524.0/594, 1) {
		t.Errorf("the same perspective as an A2 from 3 m: from %g mm", got)
	}
	if got := New(saltMarsh(natural(1)), nil, Options{DistanceMM: 100}).Rungs[0].Usual.DistanceMM; got != vision.NearPointMM {
		t.Errorf("no eye focuses at %g mm", got)
	}
}

// A print shows less of its detail from far away.
func TestTheDistanceGivenDecides(t *testing.T) {
	wall := sizes(t, "A4", "24x36in")
	near, far := New(saltMarsh(natural(1)), wall, Options{DistanceMM: 300}), New(saltMarsh(natural(1)), wall, Options{DistanceMM: 30_000})
	if v := mustRung(t, near, "24x36in").Verdict; v != vision.TooSmall || near.Carries.Rung != "A4" {
		t.Errorf("24x36in from 30 cm: %s", v)
	}
	if v := mustRung(t, far, "24x36in").Verdict; v != vision.Carries || far.Carries.Rung != "24x36in" {
		t.Errorf("24x36in from 30 m: %s", v)
	}
	if a, b := mustRung(t, near, "A4").Look.Detail, mustRung(t, far, "A4").Look.Detail; b >= a/10 {
		t.Errorf("an A4 shows %.3f from 1 m and %.3f from 30", a, b)
	}
}

// The verdict is that of an order, for which its folder may ask more.
func TestARungHasTheVerdictOfItsFolder(t *testing.T) {
	strict := func(size string, diagonalMM float64) vision.Levels {
		if size == "A4" {
			return vision.Levels{Least: 600, Sharp: 700}
		}
		return vision.NewLevels(diagonalMM, 0, 1)
	}
	l := New(saltMarsh(natural(1)), nil, Options{Levels: strict})
	want := map[string]vision.Verdict{"A6": vision.Carries, "A4": vision.TooSmall, "24x36in": vision.Carries, "40x60in": vision.LookCloser}
	for name, v := range want {
		if r := mustRung(t, l, name); r.Verdict != v {
			t.Errorf("%s: %+v, want %s", name, r, v)
		}
	}
}

func TestASizeMayHangWhereItHangs(t *testing.T) {
	usual := New(saltMarsh(natural(1)), nil, Options{})
	l := New(saltMarsh(natural(1)), nil, Options{Distances: map[string]float64{"A2": 4000}})
	for _, r := range l.Rungs {
		want := mustRung(t, usual, r.Name)
		if r.Name == "A2" && (r.Usual.DistanceMM != 4000 || r.Look != r.Usual) || r.Name != "A2" && r.Look != want.Look {
			t.Errorf("%s: from %g and %g mm", r.Name, r.Usual.DistanceMM, r.Look.DistanceMM)
		}
	}
	if l.Needs.WidthMM != 0 || l.Carries.WidthMM != 0 {
		t.Errorf("one limit for sizes that hang at different distances: %+v, %+v", l.Needs, l.Carries)
	}
}

// A square of 200 mm out of a picture of 6240 x 4160: 4160 px on 200 mm, 528.3 ppi.
func TestThePrintThatIsMadeStandsOnItsRung(t *testing.T) {
	square := &Print{WidthMM: 200, HeightMM: 200, NativePPI: 528.32}
	l := New(saltMarsh(natural(1)), sizes(t, "A5", "20x20cm", "A3"), Options{Mark: "20x20cm", Print: square})
	r := mustRung(t, l, "20x20cm")
	if r.WidthMM != 200 || r.HeightMM != 200 || r.NativePPI != 528.3 || r.Scale != 0.681 || r.Usual.DistanceMM != 424 {
		t.Errorf("%+v", r)
	}
	if got := names(l); !slices.Equal(got, []string{"A5", "20x20cm", "A3"}) {
		t.Errorf("%v", got)
	}
}

func TestASizeThatIsGivenTwiceIsOneRung(t *testing.T) {
	if got := names(New(saltMarsh(natural(1)), sizes(t, "A4", "A3", "A4"), Options{})); !slices.Equal(got, []string{"A4", "A3"}) {
		t.Errorf("%v", got)
	}
}

// The plot's curves pass through its rungs.
func TestTheCurveIsThePrintsBetween(t *testing.T) {
	l := New(saltMarsh(natural(1)), nil, Options{})
	first, last := l.curve[0], l.curve[len(l.curve)-1]
	for _, pair := range [][2]Rung{{first, l.Rungs[0]}, {last, l.Rungs[len(l.Rungs)-1]}} {
		if !near(pair[0].WidthMM, pair[1].WidthMM, 0.1) || !near(pair[0].Look.Detail, pair[1].Look.Detail, 1e-4) {
			t.Errorf("the line ends at %+v, the rung is %+v", pair[0], pair[1])
		}
	}
}

// Common practice, no source: a file of 6240 x 4160 is printed at 24x36 in, and with care
// at 40x60 in.
func TestASharpFileOf26MegapixelsCarriesToAWallPiece(t *testing.T) {
	l := New(saltMarsh(natural(1)), nil, Options{})
	long := max(l.Carries.WidthMM, l.Carries.HeightMM)
	if l.Carries.Rung != "24x36in" && l.Carries.Rung != "40x60in" || long < 36*25.4 || long > 1.2*60*25.4 {
		t.Errorf("carries up to %+v", l.Carries)
	}
	t.Logf("needs %+v, carries %+v", l.Needs, l.Carries)
}

// From a true resolution of 0.6, which ordinary sharp photographs have, all pixels count.
func TestASoftFileCarriesLessFarThanASharpOneOfTheSamePixels(t *testing.T) {
	last := math.Inf(1)
	for _, resolution := range []float64{0.6, 0.4, 0.2, 0.1} {
		l := New(saltMarsh(natural(resolution)), nil, Options{})
		if l.Carries.WidthMM >= last || l.Carries.WidthMM == 0 {
			t.Errorf("true resolution %g carries %g mm, after %g", resolution, l.Carries.WidthMM, last)
		}
		last = l.Carries.WidthMM
	}
	if sharp, ordinary := New(saltMarsh(natural(1)), nil, Options{}), New(saltMarsh(natural(0.6)), nil, Options{}); sharp.Carries != ordinary.Carries {
		t.Errorf("a sharp one carries %+v, an ordinary one %+v", sharp.Carries, ordinary.Carries)
	}
}

// Twice the pixels, the same bands an octave further down.
func TestAnEnlargedFileCarriesNoFurtherThanWhatItWasMadeFrom(t *testing.T) {
	contrast := func(f float64) float64 { return 0.015 * math.Pow(f, -0.2) }
	small := New(Picture{Name: "gull.jpg", Width: 3120, Height: 2080, Spectrum: spectrum(1, contrast)}, nil, Options{})
	twice := spectrum(0.5, func(f float64) float64 { return contrast(2 * f) })
	twice.Enlarged = 2
	enlarged := New(saltMarsh(twice), nil, Options{})
	for _, pair := range [][2]Limit{{small.Needs, enlarged.Needs}, {small.Carries, enlarged.Carries}} {
		if pair[0] != pair[1] {
			t.Errorf("%+v, enlarged %+v", pair[0], pair[1])
		}
	}
}

func TestAPictureOfLargeFormsLosesNothingSmall(t *testing.T) {
	l := New(saltMarsh(natural(0.15)), nil, Options{})
	if l.Needs.Rung != "A6" || l.Rungs[0].Look.Detail < 0.95 || l.Gain > 0.05 {
		t.Errorf("needs %s, %.2f of its detail is seen there, gain %.2f", l.Needs.Rung, l.Rungs[0].Look.Detail, l.Gain)
	}
}

func TestAPictureOfFineGrassNeedsSize(t *testing.T) {
	// All its contrast in the finest octave.
	grass := spectrum(1, func(f float64) float64 {
		if f > 0.25 {
			return 0.02
		}
		return 0
	})
	l := New(saltMarsh(grass), nil, Options{})
	a6, a2 := mustRung(t, l, "A6"), mustRung(t, l, "A2")
	if a6.Look.Detail > 0.1 || a2.Look.Detail < 0.5 || l.Gain < 0.6 {
		t.Errorf("seen at A6 %.2f, at A2 %.2f, gain %.2f", a6.Look.Detail, a2.Look.Detail, l.Gain)
	}
	if needs := mustRung(t, l, l.Needs.Rung); needs.WidthMM < 594 {
		t.Errorf("needs no more than %s", needs.Name)
	}
}

func TestALimitIsWhereItSaysWhateverTheRungs(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 50 {
		p := saltMarsh(random(r))
		usual := New(p, nil, Options{})
		for _, limit := range []Limit{usual.Needs, usual.Carries} {
			if limit.WidthMM < 150 || limit.WidthMM > 10_000 {
				continue
			}
			// A hundredth smaller and larger.
			l := New(p, []printsize.Size{
				{Name: "under", WidthMM: 0.99 * limit.WidthMM, HeightMM: limit.HeightMM},
				{Name: "over", WidthMM: 1.02 * limit.WidthMM, HeightMM: 1.02 * limit.HeightMM},
			}, Options{})
			want := Limit{"over", limit.WidthMM, limit.HeightMM}
			got := l.Needs
			if limit == usual.Carries || limit.WidthMM == usual.Carries.WidthMM {
				want.Rung, got = "under", l.Carries
			}
			if got != want {
				t.Errorf("got %+v, want %+v", got, want)
			}
		}
	}
}

func TestWeakerEyesNeedLargerPrintsAndForgiveThem(t *testing.T) {
	sharp := New(saltMarsh(natural(1)), nil, Options{Viewer: vision.Viewer{Acuity: 1.2}})
	weak := New(saltMarsh(natural(1)), nil, Options{Viewer: vision.Viewer{Acuity: 0.6}})
	if weak.Needs.WidthMM <= sharp.Needs.WidthMM || weak.Carries.WidthMM <= sharp.Carries.WidthMM {
		t.Errorf("needs %g and %g mm, carries %g and %g", sharp.Needs.WidthMM, weak.Needs.WidthMM, sharp.Carries.WidthMM, weak.Carries.WidthMM)
	}
}

func TestAPictureWithHardlyAnyDetailIsLeftInPeace(t *testing.T) {
	for _, s := range []*detail.Spectrum{spectrum(1, func(float64) float64 { return 0 }), spectrum(1, func(float64) float64 { return 0.001 })} {
		l := New(saltMarsh(s), nil, Options{})
		if !l.Plain || l.Needs.Rung != "A6" || l.Carries.Rung != "40x60in" || l.Gain != 0 {
			t.Errorf("plain %v, needs %+v, carries %+v, gain %g", l.Plain, l.Needs, l.Carries, l.Gain)
		}
		if few := New(Picture{Name: "mist", Width: 1200, Height: 800, Spectrum: s}, nil, Options{}); few.Carries.Rung != "A5" {
			t.Errorf("1200 x 800 px of mist carry %+v", few.Carries)
		}
	}
}

func TestPicturesAreRankedByWhatSizeGivesThem(t *testing.T) {
	mist := New(Picture{Name: "mist", Width: 6240, Height: 4160, Spectrum: spectrum(1, func(float64) float64 { return 0.001 })}, nil, Options{})
	icon := New(Picture{Name: "icon", Width: 6240, Height: 4160, Spectrum: nil}, nil, Options{})
	forms := New(Picture{Name: "forms", Width: 6240, Height: 4160, Spectrum: natural(0.15)}, nil, Options{})
	marsh := New(Picture{Name: "marsh", Width: 6240, Height: 4160, Spectrum: natural(1)}, nil, Options{})
	again := New(Picture{Name: "again", Width: 6240, Height: 4160, Spectrum: natural(1)}, nil, Options{})
	all := []*Ladder{mist, icon, forms, marsh, again}
	Rank(all)
	if want := []*Ladder{again, marsh, forms, icon, mist}; !slices.Equal(all, want) {
		t.Errorf("got %s, %s, %s, %s, %s", all[0].Picture, all[1].Picture, all[2].Picture, all[3].Picture, all[4].Picture)
	}
}

func TestALadderIsAPlainValue(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	for range 50 {
		l := New(saltMarsh(random(r)), nil, Options{Mark: "A4"})
		data, err := json.Marshal(l)
		if err != nil {
			t.Fatal(err) // such as NaN
		}
		var back Ladder
		if err := json.Unmarshal(data, &back); err != nil {
			t.Fatal(err)
		}
		l.curve = nil
		if !reflect.DeepEqual(*l, back) {
			t.Fatalf("read back as\n%+v\nfrom\n%+v", back, *l)
		}
	}
}
