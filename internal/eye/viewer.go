package eye

import (
	"math"

	"sizewright/internal/exact"
)

// A Viewer is who looks, and in what light.
type Viewer struct {
	// Acuity is decimal visual acuity (ISO 8596): 1 resolves one minute of arc, 0.5
	// two, 1.5 two thirds.
	Acuity float64 `json:"acuity"`

	// LuminanceCDM2 is the light that the print's mid tones send back, in cd/m².
	LuminanceCDM2 float64 `json:"luminance_cd_m2"`

	// FieldDegrees is the side of the patch of print that is looked at.
	FieldDegrees float64 `json:"field_degrees"`
}

// Usual is the viewer a print is made for: acuity 1, the light of a gallery or a
// well-lit room (100 cd/m²), a field of 10 degrees. Common practice, no source.
func Usual() Viewer { return Viewer{Acuity: 1, LuminanceCDM2: 100, FieldDegrees: 10} }

// OrUsual puts the usual value in place of every one that is not above 0.
func (v Viewer) OrUsual() Viewer {
	usual := Usual()
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

// Sensitivity is the viewer's contrast sensitivity at f cycles per degree, by
// [Barten]. Barten's own observer is taken for one of acuity 1, and another's
// acuity scales the frequency: twice the acuity sees at 40 what one sees at 20.
// Both are house judgement; observers in laboratories often see better than 1.
func (v Viewer) Sensitivity(f float64) float64 {
	return Barten(f/v.Acuity, v.LuminanceCDM2, v.FieldDegrees)
}

// Envelope is a viewer's sensitivity that stays at its peak below the peak, so that
// it never rises with frequency. See the package comment for why.
type Envelope struct {
	viewer Viewer
	peak   float64 // cycles per degree
}

// Envelope finds the viewer's peak.
func (v Viewer) Envelope() Envelope { return Envelope{v, v.peak()} }

// Peak is where the envelope begins to fall, in cycles per degree.
func (e Envelope) Peak() float64 { return e.peak }

// At is the sensitivity for detail of f cycles per degree.
func (e Envelope) At(f float64) float64 { return e.viewer.Sensitivity(max(f, e.peak)) }

// peak looks for the frequency of greatest sensitivity by the golden section,
// for the curve has one summit. The knee is set a hair beyond it, where the curve
// falls by more than a float64 rounds.
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
