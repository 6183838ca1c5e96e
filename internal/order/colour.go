package order

import (
	"bytes"
	"strings"

	"sizewright/internal/caution"
	"sizewright/internal/colour"
	"sizewright/internal/hold"
	"sizewright/internal/photo"
	"sizewright/internal/render"
)

var (
	linearLight = caution.New("linear-light", caution.WorthALook, "Look at the dark side of edges in the cut-outs. If they ring, export the picture with a tone curve, such as sRGB or Display P3, and drop it again.")
	cmykPicture = caution.New("cmyk", caution.WorthALook, "Look at its colours. If they are wrong, export the picture as RGB and drop it again.")
)

// PlanColour says how the picture's values are interpreted, and what happens to its
// colours.
type PlanColour struct {
	Source   string `json:"source"`              // the picture's profile, by its description
	Basis    string `json:"basis"`               // "embedded", "png", "exif", "tiff", "heif" or "assumed"
	StatedBy string `json:"stated_by,omitempty"` // what in the file states the colours without a profile: "its cICP chunk"
	Output   string `json:"output"`              // the profile in the print, by its description
	render.Colour
}

// destination returns what the print is converted to. Without a profile, colours stay
// as they are. CMYK is scaled as RGB, so it is always converted, even to its own
// profile.
func destination(info *photo.Info, m meaning, o Output) Output {
	switch {
	case o.Kind == ToWorkingSpace && info.Model == photo.Grey:
		return Output{} // grey stays grey
	case o.Profile == nil && info.Model == photo.CMYK:
		return Output{Profile: colour.BuiltInSRGB(), Kind: render.ToSRGB, Intent: colour.Relative, BlackPoint: true}
	case o.Profile != nil && m.profile != nil && info.Model != photo.CMYK && bytes.Equal(o.Profile.Bytes, m.profile.Bytes):
		return Output{} // it has that profile already
	}
	return o
}

func (p *Plan) colour(info *photo.Info, o Order) {
	m := meaningOf(info)
	p.Cautions = append(p.Cautions, m.cautions...)
	if m.profile != nil {
		if linear, err := m.profile.Linear(); err == nil && linear {
			p.caution(linearLight, "its values are linear light, which enlarging and sharpening are not made for: the dark side of an edge may ring")
		}
	}
	if o.Settings.StrictProfile && m.broken != nil {
		p.refuseProfile(*m.broken)
	}
	p.Colour = PlanColour{Source: "CMYK without a profile", Basis: m.basis, StatedBy: m.by, Colour: render.Colour{Conversion: render.KeepColours}}
	p.Profiles = render.Profiles{Source: m.profile, Output: m.profile, Face: o.Face}
	if m.profile != nil {
		p.Colour.Source = m.profile.Name
	}
	if to := destination(info, m, o.Output); to.Profile != nil {
		p.Profiles.Output = to.Profile
		p.Colour.Conversion, p.Colour.Intent = to.Kind, to.Intent
		p.Colour.BlackPoint = to.BlackPoint && to.Intent != colour.Absolute
	}
	if info.Model == photo.CMYK && o.Output.Profile == nil {
		p.caution(cmykPicture, "a CMYK picture: its colours were converted to sRGB for an RGB print")
	}
	out := p.Profiles.Output
	p.Colour.Output, p.Colour.Digest = out.Name, out.Digest()
	p.Colour.Model = string(modelOf(out.Channels))
}

// refuseProfile refuses the picture, for a stock with strict_profile.
func (p *Plan) refuseProfile(broken photo.Caution) {
	p.Refusal = &Refusal{Hold: *strictly[broken.Code].Say("%s, which this stock does not allow (strict_profile)", strings.TrimSuffix(broken.Text, "."))}
}

// strictly holds, by code, the cautions that become a hold for a stock with
// strict_profile.
var strictly = map[string]hold.Kind{
	photo.CautionProfile.Code: hold.New(photo.CautionProfile.Code, embedProfile),
	photo.CautionColours.Code: hold.New(photo.CautionColours.Code, embedProfile),
	profileUnusable.Code:      hold.New(profileUnusable.Code, embedProfile),
	profileMismatch.Code:      hold.New(profileMismatch.Code, embedProfile),
}

const embedProfile = "embed the right profile and drop it again"

func modelOf(channels int) photo.Model {
	switch channels {
	case 1:
		return photo.Grey
	case 4:
		return photo.CMYK
	}
	return photo.RGB
}
