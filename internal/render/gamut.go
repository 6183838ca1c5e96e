package render

import (
	"errors"
	"fmt"

	"sizewright/internal/colour"
	"sizewright/internal/photo"
)

// GamutMapSide is the longer side of a gamut map, px, its legend aside.
const GamutMapSide = 1200

// ErrNoColours is for a CMYK picture without a profile: nobody knows its
// colours, so nobody can say whether a paper holds them.
var ErrNoColours = errors.New("a CMYK picture without a profile has no known colours: embed the profile it was made for")

// Colours are what a picture's numbers are taken to mean, by name, and what is to be
// said of that.
func Colours(info *photo.Info) (name string, cautions []photo.Caution) {
	m := meaningOf(info)
	if m.by != "" {
		return m.name + ", from " + m.by, m.cautions
	}
	return m.name + " (" + m.basis + ")", m.cautions
}

// MeasureGamut measures how far a picture's own colours are outside what a
// profile can hold.
func MeasureGamut(src *photo.Photo, dest *colour.Profile) (*colour.Measurement, error) {
	m := meaningOf(&src.Info)
	if m.profile == nil {
		return nil, ErrNoColours
	}
	return colour.MeasureGamut(src, src.Width, src.Height, m.profile, dest)
}

// GamutCaution is the caution for a picture of which too much is too far
// outside the paper, by the order's thresholds; nil if it is within them. Where
// black point compensation sees to the blacks, they do not count.
func GamutCaution(g colour.Gamut, o Order) *photo.Caution {
	s := o.Settings
	share := map[float64]float64{1: g.Beyond1, 3: g.Beyond3, 6: g.Beyond6}[s.GamutCautionDeltaE]
	what := ""
	if o.Output.BlackPoint && o.Output.Intent != colour.Absolute {
		share -= map[float64]float64{1: g.Blacks.Beyond1, 3: g.Blacks.Beyond3, 6: g.Blacks.Beyond6}[s.GamutCautionDeltaE]
		what = ", its blacks aside,"
	}
	if share <= s.GamutCautionShare {
		return nil
	}
	text := fmt.Sprintf("%.1f %% of the picture%s is outside what the paper holds by more than %.0f (CIEDE2000), at worst %.1f", 100*share, what, s.GamutCautionDeltaE, g.Max)
	if len(g.Regions) > 0 {
		text += "; worst: " + g.Regions[0].Text
	}
	return &photo.Caution{Code: "out-of-gamut", Text: text}
}
