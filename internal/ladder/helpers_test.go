package ladder

import (
	"math"
	"math/rand/v2"
	"testing"

	"sizewright/internal/detail"
	"sizewright/internal/printsize"
)

// spectrum returns twelve half octaves from 0.5 cycles per pixel down. f gives the contrast
// at the middle of each; it is 0 above the true resolution.
func spectrum(resolution float64, contrast func(f float64) float64) *detail.Spectrum {
	s := &detail.Spectrum{Resolution: resolution, Effective: 26 * resolution * resolution}
	for i := range 12 {
		high := 0.5 * math.Exp2(-float64(i)/2)
		b := detail.Band{Low: high / math.Sqrt2, High: high}
		if b.Low < 0.5*resolution*0.999 {
			b.Contrast = contrast(high / math.Pow(2, 0.25))
		}
		s.Bands = append(s.Bands, b)
	}
	return s
}

// natural has the same contrast in every octave, as pictures have on average: D. J. Field,
// JOSA A 4 (1987). A detailed photograph has 0.02 in a half octave.
func natural(resolution float64) *detail.Spectrum {
	return spectrum(resolution, func(float64) float64 { return 0.02 })
}

// saltMarsh is a picture of 26 megapixels.
func saltMarsh(s *detail.Spectrum) Picture {
	return Picture{Name: "salt-marsh.tif", Width: 6240, Height: 4160, Spectrum: s}
}

// random returns a random spectrum.
func random(r *rand.Rand) *detail.Spectrum {
	s := spectrum(0.05+0.95*r.Float64(), func(float64) float64 {
		return math.Exp(-8 * r.Float64())
	})
	for range r.IntN(20) {
		s.Regions = append(s.Regions, detail.Region{Resolution: r.Float64(), Contrast: 0.2 * r.Float64()})
	}
	return s
}

func sizes(t testing.TB, names ...string) []printsize.Size {
	t.Helper()
	var all []printsize.Size
	for _, name := range names {
		size, err := printsize.ParseSize(name)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, size)
	}
	return all
}

func near(got, want, off float64) bool { return math.Abs(got-want) <= off }

// mustRung returns the rung with this name.
func mustRung(t testing.TB, l *Ladder, name string) Rung {
	t.Helper()
	r := l.rung(name)
	if r == nil {
		t.Fatalf("no rung %s", name)
	}
	return *r
}
