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

// Measured is what the picture's own pixels told.
type Measured struct {
	detail.Measurement
	LightNoise  float64 `json:"light_noise,omitempty"` // the least that Noise can be by the photograph's ISO; 0 is not known
	Resolution  float64 `json:"true_resolution"`       // share of the pixel grid that carries picture, 0..1 a side; 0 is not known
	EffectiveMP float64 `json:"effective_mp"`          // megapixels that would hold it
	Enlarged    float64 `json:"enlarged,omitempty"`    // how many times the file was enlarged before; 0 where no trace was found, which a JPEG saved since can hide
	Plain       bool    `json:"plain,omitempty"`       // it has hardly any fine detail, so that its resolution decides nothing
}

// Measure looks at a picture, and returns where its contrast lies beside.
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

// WithMeasurement is the whole plan: sharpening by what was measured of the
// picture, and whether its detail, and not just its pixels, carries the size. It
// leaves p alone.
func (p *Plan) WithMeasurement(m Measured, o Order) *Plan {
	q := *p
	q.Measured, q.Cautions = &m, slices.Clone(p.Cautions)
	q.sharpening(o.Settings)
	if m.Resolution > 0 {
		q.detail(o.Settings)
	}
	return &q
}

// detail holds the picture's detail against what the size asks, where the folder
// counts detail; mist has none to lack. By default it counts pixels and says both: a picture may be meant to
// be soft, and of a single photograph the true resolution is an estimate that can
// miss (package detail tells how often).
func (p *Plan) detail(s config.Settings) {
	r := &p.Resolution
	r.DetailPPI = round(r.NativePPI*p.Measured.Resolution, 1)
	if p.Measured.Plain || s.MinimumCounts != config.CountDetail || r.DetailPPI >= r.MinimumPPI || p.Refusal != nil {
		return
	}
	p.refuseFor(tooLittleDetail, carrier{p.Crop, s, p.Measured.Resolution},
		fmt.Sprintf("the file's %.1f megapixels hold detail for about %.1f (an estimate), %.0f ppi of detail at %s, where %.0f is the least",
			float64(p.Picture.Width)*float64(p.Picture.Height)/1e6, p.Measured.EffectiveMP, r.DetailPPI, p.Size.Name, r.MinimumPPI))
}

var tooLittleDetail = hold.New("too-little-detail", "find a sharper file")
