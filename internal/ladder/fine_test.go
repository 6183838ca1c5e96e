package ladder

import (
	"math"
	"strings"
	"testing"

	"sizewright/internal/detail"
)

func TestFineDetailIsTheFinestTwoOctavesThatThePictureHas(t *testing.T) {
	for _, resolution := range []float64{1, 0.8, 0.5, 0.23} {
		f := newFine(natural(resolution))
		low, high := math.Inf(1), 0.0
		for _, p := range f.parts {
			low, high = min(low, p.low), max(high, p.high)
		}
		if !near(high, 0.5*resolution, 1e-12) || !near(low, 0.125*resolution, 1e-12) {
			t.Errorf("true resolution %g: from %g to %g cycles/px", resolution, low, high)
		}
	}
}

// 0.02 in a half octave is 0.02 sqrt 2 in an octave, and 4.4 times that in contrast.
func TestHalfAnOctaveIsSeenWithTheContrastOfItsOctave(t *testing.T) {
	for _, p := range newFine(natural(1)).parts {
		if want := 4.4 * 0.02 * math.Sqrt2; !near(p.mean, want, 1e-12) {
			t.Errorf("contrast %.4f, want %.4f", p.mean, want)
		}
	}
}

func regions(n, withDetail int, contrast float64) []detail.Region {
	all := make([]detail.Region, n)
	for i := range withDetail {
		all[i] = detail.Region{Resolution: 1, Contrast: contrast}
	}
	return all
}

// If all contrast is in a quarter of the picture, it is twice as strong there.
func TestABirdOnAPlainSkyIsSeenAsABird(t *testing.T) {
	everywhere, bird := natural(1), natural(1)
	everywhere.Regions, bird.Regions = regions(100, 100, 0.02), regions(100, 25, 0.04)
	a, b := newFine(everywhere), newFine(bird)
	if got := b.parts[0].mean / a.parts[0].mean; !near(got, 2, 1e-9) {
		t.Errorf("%.3f times as strong", got)
	}
	bird.Regions = append(bird.Regions[:25], make([]detail.Region, 75)...)
	for i := range bird.Regions[25:] { // a background that is out of focus
		bird.Regions[25+i] = detail.Region{Resolution: 0.05, Contrast: 0.04}
	}
	if got := newFine(bird).parts[0].mean / a.parts[0].mean; got < 1.7 || got > 2 {
		t.Errorf("before a soft background %.3f times as strong", got)
	}
}

func TestThePictureWithHardlyAnyDetailIsKnown(t *testing.T) {
	mist := spectrum(1, func(float64) float64 { return 0.002 })
	grain := spectrum(1, func(float64) float64 { return 0.004 })
	for _, test := range []struct {
		name string
		s    *detail.Spectrum
		want bool
	}{
		{"mist", mist, true}, {"grass", grain, false},
		{"a black frame", &detail.Spectrum{Bands: make([]detail.Band, 12)}, true},
		{"too small to measure", &detail.Spectrum{}, false}, {"not measured", nil, false},
	} {
		if got := Plain(test.s); got != test.want {
			t.Errorf("%s: %v", test.name, got)
		}
	}
}

// Detail in a hundredth of a picture counts as filling at least a sixteenth.
func TestASpeckIsNotAllThereIs(t *testing.T) {
	everywhere, speck := natural(1), natural(1)
	everywhere.Regions, speck.Regions = regions(100, 100, 0.02), regions(100, 1, 0.2)
	if got := newFine(speck).parts[0].mean / newFine(everywhere).parts[0].mean; !near(got, 4, 1e-9) { // the square root of 16
		t.Errorf("%.3f times as strong as everywhere", got)
	}
}

// Only the pixel count is known, so it decides.
func TestAPictureTooSmallToMeasureIsJudgedByItsPixels(t *testing.T) {
	icon := New(Picture{Name: "icon.png", Width: 20, Height: 15, Spectrum: &detail.Spectrum{Enlarged: 1}}, nil, Options{})
	if !icon.Unmeasured || icon.Plain || icon.Carries.Rung != "" || !strings.Contains(icon.Verdict, "by its pixels") || !strings.Contains(icon.Verdict, "too small even for A6") {
		t.Errorf("%+v carries %+v: %s", icon.Unmeasured, icon.Carries, icon.Verdict)
	}
	unread, known := New(saltMarsh(nil), nil, Options{}), New(saltMarsh(natural(1)), nil, Options{})
	if unread.Carries != known.Carries || unread.Needs != known.Needs {
		t.Errorf("26 megapixels without a spectrum: %+v to %+v; a sharp photograph: %+v to %+v", unread.Needs, unread.Carries, known.Needs, known.Carries)
	}
}

func TestRegionsTellWhatIsSoftOnPurpose(t *testing.T) {
	var all []detail.Region
	for i := range 10 {
		all = append(all, detail.Region{Resolution: float64(1+i) / 10}, detail.Region{})
	}
	if got, want := *regionsOf(all), (Regions{20, 10, 0.2, 0.6, 0.9}); got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
	if got := *regionsOf(make([]detail.Region, 3)); got != (Regions{Count: 3, Blank: 3}) {
		t.Errorf("a clear sky: %+v", got)
	}
}
