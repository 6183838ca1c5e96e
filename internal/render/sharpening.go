package render

import (
	"sizewright/internal/config"
	"sizewright/internal/printsize"
)

// Sharpening is one unsharp mask on lightness, with its numbers.
//
// The mask is amount x (L - blurred L), L being the luma of the encoded values
// (close to lightness: both follow the cube root of luminance within a few
// per cent) and the blur a Gaussian of the given sigma. The same amount is
// added to each channel, so hue does not move, and it is held within the
// limit, so that a halo cannot grow with the edge beside it.
type Sharpening struct {
	Applied  bool    `json:"applied"`
	RadiusPX float64 `json:"radius_px"`           // sigma, in pixels of the raster it works on
	RadiusMM float64 `json:"radius_mm,omitempty"` // sigma on paper, output sharpening only
	Amount   float64 `json:"amount"`
	Limit    float64 `json:"limit"` // of the change, in encoded values 0..1
	Why      string  `json:"why"`
}

// House practice, no source: mild enough that a print shows no halo.
const (
	outputRadiusMM = 0.085 // 1.2 px at 360 ppi; one minute of arc at 290 mm
	outputLeastPX  = 0.5   // a narrower blur does nothing on the raster
	outputLimit    = 0.08
	preRadiusPX    = 0.7
	preLimit       = 0.05
	preFromScale   = 2.0 // enlarging by more than this asks for pre-sharpening
)

func (p *Plan) sharpening(s config.Settings) {
	p.PreSharpening = Sharpening{RadiusPX: preRadiusPX, Amount: s.PreSharpening, Limit: preLimit,
		Why: "enlarged by 2 or less, so the output sharpening is enough"}
	switch {
	case s.PreSharpening == 0:
		p.PreSharpening.Why = "set to 0"
	case p.enlarges() > preFromScale:
		p.PreSharpening.Applied = true
		p.PreSharpening.Why = "enlarged by more than 2: detail is lifted before it is spread over many pixels"
	}
	p.OutputSharpening = Sharpening{
		Applied:  s.OutputSharpening > 0,
		RadiusMM: outputRadiusMM,
		RadiusPX: round(max(outputLeastPX, outputRadiusMM*p.Print.PPI/printsize.MMPerInch), 3),
		Amount:   s.OutputSharpening,
		Limit:    outputLimit,
		Why:      "for the paper, the same width on it at every ppi",
	}
	if s.OutputSharpening == 0 {
		p.OutputSharpening.Why = "set to 0"
	}
}
