package ladder

import (
	"math"

	"sizewright/internal/detail"
	"sizewright/internal/exact"
	"sizewright/internal/vision"
)

const (
	octaves = 2 // of fine detail, from the true resolution down

	// perLuma converts encoded luma to Michelson contrast at mid-grey.
	perLuma = 2.2 / 0.5

	// plainContrast is the contrast below which an octave counts as having hardly any
	// detail: one step of 8 bits, over the picture.
	plainContrast = 1.0 / 255

	// narrowest is the smallest part of a picture that detail is taken to fill.
	narrowest = 1.0 / 16
)

// fine is a picture's fine detail. Frequencies are in cycles per pixel.
type fine struct {
	top   float64 // true resolution
	parts []part

	plain, unmeasured bool
}

// A part is a slice of a band of the spectrum.
type part struct {
	low, centre, high float64
	weight            float64 // contrast in the whole picture, of encoded luma
	mean              float64 // mean Michelson contrast of its octave, where there is detail
}

// perBand is the number of slices per band. Near the eye's limit, sensitivity falls
// fast within half an octave.
const perBand = 8

func newFine(s *detail.Spectrum) fine {
	if s == nil || len(s.Bands) == 0 {
		f := newFine(detailed())
		f.unmeasured = true
		return f
	}
	f := fine{top: 0.5 * min(max(s.Resolution, 0), 1)}
	local := 1 / math.Sqrt(coverage(s))
	power, span := 0.0, 0.0
	for _, b := range s.Bands {
		low, high := max(b.Low, f.top/(1<<octaves)), min(b.High, f.top)
		if !(low < high && b.Contrast > 0) {
			continue
		}
		width := exact.Log2(b.High / b.Low)
		// A band's contrast is below the true resolution, and spread evenly from there
		// down.
		share := exact.Log2(high/low) / exact.Log2(min(b.High, f.top)/b.Low)
		f.slice(low, high, b.Contrast*share, min(perLuma*local*b.Contrast/math.Sqrt(width), 1))
		power += float64(b.Contrast * b.Contrast * share)
		span += exact.Log2(high / low)
	}
	f.plain = span == 0 || math.Sqrt(power/span) < plainContrast
	return f
}

// Plain reports whether a picture has hardly any fine detail, so that its resolution
// does not matter.
func Plain(s *detail.Spectrum) bool { return newFine(s).plain }

// Counted returns the share of a picture's pixels that the verdict counts. All
// count of one with hardly any detail, which has none to lack.
func Counted(s *detail.Spectrum) vision.Share {
	if s == nil || Plain(s) {
		return vision.All
	}
	return vision.Counted(s.Resolution, s.Enlarged)
}

// detailed returns the spectrum of a detailed photograph that is sharp at its full
// resolution: the same contrast in every half octave (D. J. Field, JOSA A 4, 1987). The
// amount is house judgement.
func detailed() *detail.Spectrum {
	s := &detail.Spectrum{Resolution: 1}
	for high := 0.5; high > 0.5/64; high /= math.Sqrt2 {
		s.Bands = append(s.Bands, detail.Band{Low: high / math.Sqrt2, High: high, Contrast: 0.02})
	}
	return s
}

// slice adds a band.
func (f *fine) slice(low, high, weight, mean float64) {
	step := exact.Pow(high/low, 1.0/perBand)
	for i := range perBand {
		from := low * exact.Pow(step, float64(i))
		f.parts = append(f.parts, part{from, from * math.Sqrt(step), from * step, weight / perBand, mean})
	}
}

// coverage returns the share of the picture that its fine detail fills, 0..1. A region
// that is out of focus has its contrast at lower frequencies, and counts for less.
func coverage(s *detail.Spectrum) float64 {
	sum, squares := 0.0, 0.0
	for _, r := range s.Regions {
		c := float64(r.Contrast * min(r.Resolution/s.Resolution, 1))
		sum += c
		squares += float64(c * c)
	}
	if !(squares > 0) {
		return 1
	}
	return min(max(sum*sum/(float64(len(s.Regions))*squares), narrowest), 1)
}
