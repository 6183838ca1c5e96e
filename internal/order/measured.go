package order

import (
	"fmt"
	"slices"

	"sizewright/internal/config"
	"sizewright/internal/detail"
	"sizewright/internal/hold"
	"sizewright/internal/ladder"
	"sizewright/internal/photo"
)

// Measured is what was measured in the picture's pixels.
type Measured struct {
	detail.Measurement
	LightNoise  float64 `json:"light_noise,omitempty"` // the least Noise possible at the photograph's ISO; 0 if unknown
	Resolution  float64 `json:"true_resolution"`       // share of the pixels along a side that carry detail, 0..1; 0 if unknown
	EffectiveMP float64 `json:"effective_mp"`          // megapixels that would hold that detail
	Enlarged    float64 `json:"enlarged,omitempty"`    // how many times the file was enlarged before; 0 if no trace was found (saving as JPEG can hide it)
	Plain       bool    `json:"plain,omitempty"`       // it has so little fine detail that its resolution decides nothing
}

// Measure measures a picture. The spectrum says where its contrast lies.
func Measure(src *photo.Photo) (Measured, *detail.Spectrum) {
	m := detail.Measure(src)
	s := detail.MeasureSpectrum(src, m)
	measured := Measured{Measurement: m, Resolution: round(s.Resolution, 3), EffectiveMP: round(s.Effective, 2), Plain: ladder.Plain(s)}
	measured.LightNoise = round(detail.LightNoise(src.EXIF.ISO, max(src.Width, src.Height)), 5)
	if s.Enlarged > 1 {
		measured.Enlarged = round(s.Enlarged, 2)
	}
	return measured, s
}

// WithMeasurement returns the complete plan: it adds sharpening for what was measured,
// and checks whether the picture's detail, not only its pixels, is enough for the size.
// It does not change p.
func (p *Plan) WithMeasurement(m Measured, o Order) *Plan {
	q := *p
	q.Measured, q.Cautions = &m, slices.Clone(p.Cautions)
	q.sharpening(o.Settings)
	if m.Resolution > 0 {
		q.detail(o.Settings)
	}
	return &q
}

// detail compares the picture's detail with what the size needs, if the folder counts
// detail; a picture without fine detail, such as mist, always passes. By default the
// folder counts pixels and reports both: a picture may be meant to be soft, and the
// true resolution of a single photograph is an estimate that can be wrong (package
// detail says how often).
func (p *Plan) detail(s config.Settings) {
	r := &p.Resolution
	r.DetailPPI = round(r.NativePPI*p.Measured.Resolution, 1)
	if p.Measured.Plain || s.MinimumCounts != config.CountDetail || r.DetailPPI >= r.MinimumPPI || p.Refusal != nil {
		return
	}
	p.refuseFor(tooLittleDetail, carrier{p.Crop, s, p.Measured.Resolution},
		fmt.Sprintf("the file's %.1f megapixels hold detail for about %.1f (an estimate), %.0f ppi of detail at %s, where at least %.0f is needed",
			float64(p.Picture.Width)*float64(p.Picture.Height)/1e6, p.Measured.EffectiveMP, r.DetailPPI, p.Size.Name, r.MinimumPPI))
}

var tooLittleDetail = hold.New("too-little-detail", "find a sharper file")
