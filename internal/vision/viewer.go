package vision

import (
	"math"

	"sizewright/internal/exact"
)

// A Viewer describes who looks at a print and in what light.
type Viewer struct {
	// Acuity is decimal visual acuity (ISO 8596): 1 resolves one minute of arc, 0.5
	// two, 1.5 two thirds.
	Acuity float64 `json:"acuity"`

	// LuminanceCDM2 is the luminance of the print's mid-tones, in cd/m².
	LuminanceCDM2 float64 `json:"luminance_cd_m2"`

	// FieldDegrees is the side of the area that is looked at, in degrees.
	FieldDegrees float64 `json:"field_degrees"`
}

// DefaultViewer returns the default viewer: acuity 1, the light of a gallery or a
// well-lit room (100 cd/m²), a field of 10 degrees. Common practice, no source.
func DefaultViewer() Viewer { return Viewer{Acuity: 1, LuminanceCDM2: 100, FieldDegrees: 10} }

// WithDefaults replaces every value that is not above 0 with its default.
func (v Viewer) WithDefaults() Viewer {
	usual := DefaultViewer()
	for _, f := range []struct {
		is    *float64
		usual float64
	}{
		{&v.Acuity, usual.Acuity},
		{&v.LuminanceCDM2, usual.LuminanceCDM2},
		{&v.FieldDegrees, usual.FieldDegrees},
	} {
		if !(*f.is > 0) {
			*f.is = f.usual
		}
	}
	return v
}

// Sensitivity returns the viewer's contrast sensitivity at f cycles per degree, by
// [Barten]. Barten's observer is assumed to have acuity 1. Another acuity scales the
// frequency: with twice the acuity, 40 cycles per degree are seen as 20 are with acuity
// 1. Both are house judgement; observers in laboratories often have an acuity above 1.
func (v Viewer) Sensitivity(f float64) float64 {
	return Barten(f/v.Acuity, v.LuminanceCDM2, v.FieldDegrees)
}

// Envelope is a viewer's sensitivity that keeps its peak value below the peak, so that
// it never rises with frequency. The package comment says why.
type Envelope struct {
	viewer Viewer
	peak   float64 // cycles per degree
}

// Envelope returns the viewer's envelope.
func (v Viewer) Envelope() Envelope { return Envelope{v, v.peak()} }

// At returns the sensitivity at f cycles per degree.
func (e Envelope) At(f float64) float64 { return e.viewer.Sensitivity(max(f, e.peak)) }

// peak finds the frequency of greatest sensitivity by golden-section search; the curve
// has a single maximum. It returns a frequency slightly above it, where the curve falls
// by more than the rounding of a float64.
func (v Viewer) peak() float64 {
	const hair = 1e-4
	inside := (math.Sqrt(5) - 1) / 2
	lo, hi := exact.Log(0.01), exact.Log(100*v.Acuity)
	at := func(x float64) float64 { return v.Sensitivity(exact.Exp(x)) }
	for hi-lo > hair/10 {
		a, b := hi-float64(inside*(hi-lo)), lo+float64(inside*(hi-lo))
		if at(a) < at(b) {
			lo = a
		} else {
			hi = b
		}
	}
	return exact.Exp(hi + hair)
}
