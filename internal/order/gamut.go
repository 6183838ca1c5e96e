package order

import (
	"errors"
	"fmt"

	"sizewright/internal/caution"
	"sizewright/internal/colour"
	"sizewright/internal/photo"
)

// GamutMapSide is the longer side of a gamut map, in px, without its legend.
const GamutMapSide = 1200

// ErrNoColours is returned for a CMYK picture without a profile. Its colours are not
// known, so nothing can say whether a paper holds them.
var ErrNoColours = errors.New("a CMYK picture without a profile has no known colours: embed the profile it was made for")

// Colours returns the name of the colours that a picture is taken to have, and the
// cautions about that.
func Colours(info *photo.Info) (name string, cautions []photo.Caution) {
	m := meaningOf(info)
	if m.by != "" {
		return m.name + ", from " + m.by, m.cautions
	}
	return m.name + " (" + m.basis + ")", m.cautions
}

// MeasureGamut measures how far a picture's colours are outside the output's gamut.
func MeasureGamut(src *photo.Photo, o Output) (*colour.Measurement, error) {
	m := meaningOf(&src.Info)
	if m.profile == nil {
		return nil, ErrNoColours
	}
	way := colour.Chain{From: m.profile, To: o.Profile, Intent: o.Intent, BlackPoint: o.BlackPoint}
	return colour.MeasureGamut(src, src.Width, src.Height, way)
}

var (
	outOfGamut = caution.New("out-of-gamut", caution.WorthALook,
		"Look at the map of what the paper misses. Where it matters, drop it for another paper.")
	outOfSpace = caution.New("out-of-working-space", caution.WorthALook,
		"Look at the preview. Where it matters, set a larger working_space, or none, and drop it again.")
)

// GamutCaution returns a caution if more of the picture than the order allows would
// look different in print; nil otherwise. A working space can clip as a paper does.
func GamutCaution(g colour.Gamut, o Order) *photo.Caution {
	limit := o.Settings.GamutCautionDeltaE
	share := g.Seen.Beyond(limit)
	if share <= o.Settings.GamutCautionShare {
		return nil
	}
	kind, where := outOfGamut, "on this paper"
	if o.Output.Kind == ToWorkingSpace {
		kind, where = outOfSpace, "in the working space "+o.Output.Profile.Name
	}
	text := fmt.Sprintf("%.1f %% of the picture will look different %s: whole areas are off by more than %g (CIEDE2000), or %g where colours are vivid",
		100*share, where, limit, limit/colour.VividWeight)
	if len(g.Regions) > 0 {
		text += "; worst: " + g.Regions[0].Text
	}
	if o.Output.Intent == colour.Perceptual || o.Output.Intent == colour.Saturation {
		text += fmt.Sprintf("; this is what a relative colorimetric proof clips; the %s intent renders these colours differently", o.Output.Intent)
	}
	c := kind.Say("%s", text)
	return &c
}
