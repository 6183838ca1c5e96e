package render

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"sync"

	"sizewright/internal/caution"
	"sizewright/internal/colour"
	"sizewright/internal/hold"
	"sizewright/internal/photo"
)

var (
	linearLight = caution.New("linear-light", caution.WorthALook, caution.Look)
	cmykPicture = caution.New("cmyk", caution.WorthALook, caution.LookAtColours)
)

// PlanColour is what the picture's numbers are taken to mean, and what becomes
// of them.
type PlanColour struct {
	Source     string `json:"source"`              // the picture's profile, by its description
	Basis      string `json:"basis"`               // "embedded", "png", "exif", "tiff" or "assumed"
	StatedBy   string `json:"stated_by,omitempty"` // what in the file says so without a profile: "its cICP chunk"
	Conversion string `json:"conversion"`          // "none", or to what: "stock profile", "working space" or "srgb"
	Output     string `json:"output"`              // the profile in the print, by its description
	Digest     string `json:"output_sha256"`
	Model      string `json:"model"` // of the print: grey, rgb or cmyk

	// How a conversion is made; empty without one.
	Intent     string `json:"intent,omitempty"`
	BlackPoint bool   `json:"black_point_compensation"`
}

// The built-in profiles, read once.
var (
	srgb = sync.OnceValue(func() *colour.Profile { return builtin(colour.SRGBProfile()) })
	a98  = sync.OnceValue(func() *colour.Profile { return builtin(colour.A98Profile()) })
	romm = sync.OnceValue(func() *colour.Profile { return builtin(colour.ROMMProfile()) })
	grey = sync.OnceValue(func() *colour.Profile { return builtin(colour.GreyProfile()) })
)

func builtin(data []byte) *colour.Profile {
	p, err := colour.ParseProfile(data)
	if err != nil {
		panic("render: a built-in profile does not read: " + err.Error()) // a test holds this
	}
	return p
}

// destination is the profile the print carries and how it is come by.
func destination(info *photo.Info, m meaning, o Output) Output {
	switch {
	case o.Kind == ToWorkingSpace && info.Model == photo.Grey:
		return Output{} // grey in, grey out
	case o.Profile != nil && m.profile != nil && bytes.Equal(o.Profile.Bytes, m.profile.Bytes):
		return Output{} // it is that already
	case o.Profile == nil && info.Model == photo.CMYK:
		return Output{Profile: srgb(), Kind: "srgb", Intent: colour.Relative, BlackPoint: true}
	}
	return o
}

func (p *Plan) colour(info *photo.Info, o Order) {
	m := meaningOf(info)
	p.Cautions = append(p.Cautions, m.cautions...)
	if m.profile != nil {
		if linear, err := m.profile.Linear(); err == nil && linear {
			p.caution(linearLight, "its values are linear light, for which enlarging and sharpening are not made: the dark side of an edge may ring; export it with a tone curve, as sRGB and Display P3 have one")
		}
	}
	if o.Settings.StrictProfile && m.broken != nil {
		p.refuseProfile(*m.broken)
	}
	p.Colour = PlanColour{Source: "CMYK without a profile", Basis: m.basis, StatedBy: m.by, Conversion: "none"}
	profile := m.profile
	if profile != nil {
		p.Colour.Source = profile.Name
	}
	if to := destination(info, m, o.Output); to.Profile != nil {
		profile = to.Profile
		p.Colour.Conversion, p.Colour.Intent = to.Kind, string(to.Intent)
		p.Colour.BlackPoint = to.BlackPoint && to.Intent != colour.Absolute
	}
	if info.Model == photo.CMYK && o.Output.Profile == nil {
		p.caution(cmykPicture, "a CMYK picture: its colours were taken to sRGB for an RGB print")
	}
	digest := sha256.Sum256(profile.Bytes)
	p.Colour.Output, p.Colour.Digest = profile.Name, hex.EncodeToString(digest[:])
	p.Colour.Model = string(modelOf(profile.Channels))
}

// refuseProfile is for a stock that would rather not guess.
func (p *Plan) refuseProfile(broken photo.Caution) {
	p.Refusal = &Refusal{Hold: *strictly[broken.Code].Say("%s, which this stock does not allow (strict_profile)", strings.TrimSuffix(broken.Text, "."))}
}

// A caution that a stock with strict_profile does not allow becomes a hold of the same code.
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

// outputProfile is the profile the print carries: the picture's own, byte for
// byte, the one that was assumed for it, or the one it is converted to.
func outputProfile(info *photo.Info, o Output) *colour.Profile {
	m := meaningOf(info)
	if to := destination(info, m, o); to.Profile != nil {
		return to.Profile
	}
	return m.profile
}
