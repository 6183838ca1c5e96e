package order

import (
	"fmt"

	"sizewright/internal/config"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
)

// Grain is the grain of a print, and the reason for it.
type Grain struct {
	render.Grain
	SizeMM float64 `json:"size_mm"` // sigma of one grain on paper
	Why    string  `json:"why"`
}

const (
	grainMM        = 0.06 // half a minute of arc from 400 mm, hardly visible (house judgement)
	grainLeastPX   = 0.5
	grainFromScale = 2.0
)

func (p *Plan) grain(s config.Settings) {
	px := max(grainLeastPX, grainMM*p.Print.PPI/printsize.MMPerInch)
	p.Grain = Grain{
		Grain:  render.Grain{Amount: s.Grain, SizePX: round(px, 3)},
		SizeMM: round(px*printsize.MMPerInch/p.Print.PPI, 4),
	}
	switch {
	case s.Grain == 0:
		p.Grain.Why = "set to 0"
	case p.enlarges() < grainFromScale:
		p.Grain.Why = fmt.Sprintf("enlarged by less than %.0f: the picture's own grain is visible", grainFromScale)
	default:
		p.Grain.Applied = true
		p.Grain.Why = "the same size on paper at every ppi, and the same for the same picture"
	}
}
