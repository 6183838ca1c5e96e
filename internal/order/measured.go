package order

import (
	"slices"

	"sizewright/internal/detail"
	"sizewright/internal/ladder"
	"sizewright/internal/photo"
	"sizewright/internal/render"
	"sizewright/internal/vision"
)

// Measured is what was measured in the picture's pixels.
type Measured struct {
	detail.Measurement
	Interest    *detail.Interest `json:"-"`                     // where the detail lies; nil if no crop hangs on it
	LightNoise  float64          `json:"light_noise,omitempty"` // the least Noise possible at the photograph's ISO; 0 if unknown
	Resolution  float64          `json:"true_resolution"`       // share of the pixels along a side that carry detail, 0..1; 0 if unknown
	EffectiveMP float64          `json:"effective_mp"`          // megapixels that would hold that detail
	Enlarged    float64          `json:"enlarged,omitempty"`    // how many times the file was enlarged before; 0 if no trace was found (saving as JPEG can hide it)
	Learned     []render.Tried   `json:"learned,omitempty"`     // what each network that an order asks for may add; see [render.Trial]
	Plain       bool             `json:"plain,omitempty"`       // it has so little fine detail that its resolution decides nothing
}

// Measure measures a picture for orders of it. The spectrum says where its contrast lies.
func Measure(src *photo.Photo, of ...Order) (Measured, *detail.Spectrum) {
	m := detail.Measure(src)
	s := detail.MeasureSpectrum(src, m)
	measured := Measured{Measurement: m, Resolution: round(s.Resolution, 3), EffectiveMP: round(s.Effective, 2), Plain: ladder.Plain(s)}
	measured.LightNoise = round(detail.LightNoise(src.EXIF.ISO, max(src.Width, src.Height)), 5)
	if s.Enlarged > 1 {
		measured.Enlarged = round(s.Enlarged, 2)
	}
	if slices.ContainsFunc(of, Order.followsDetail) {
		measured.Interest = detail.InterestOf(src)
	}
	for _, o := range of {
		measured.try(src, o)
	}
	return measured, s
}

// try finds what the network that an order asks for may add.
func (m *Measured) try(src *photo.Photo, o Order) {
	p := NewPlan(&src.Info, o)
	net := p.network(o.Settings)
	if net == nil || slices.ContainsFunc(m.Learned, func(l render.Tried) bool { return l.Weights == net.Digest }) {
		return
	}
	m.Learned = append(m.Learned, render.Trial(src, net, p.Scale))
}

// Counted is the share of the file's pixels that the verdict counts, see
// [Resolution].
func (m *Measured) Counted() vision.Share {
	if m.Plain {
		return vision.All
	}
	return vision.Counted(m.Resolution, m.Enlarged)
}
