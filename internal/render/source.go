package render

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"sync"

	"sizewright/internal/colour"
	"sizewright/internal/photo"
)

// PlanColour is what the picture's numbers are taken to mean, and what becomes
// of them.
type PlanColour struct {
	Source     string `json:"source"`     // the picture's profile, by its description
	Basis      string `json:"basis"`      // "embedded", "exif", "png" or "assumed"
	Conversion string `json:"conversion"` // "none", or to what: "stock profile", "working space" or "srgb"
	Output     string `json:"output"`     // the profile in the print, by its description
	Digest     string `json:"output_sha256"`
	Model      string `json:"model"` // of the print: grey, rgb or cmyk

	// How a conversion is made; empty without one.
	Intent     string `json:"intent,omitempty"`
	BlackPoint bool   `json:"black_point_compensation"`
}

// meaning is the picture's profile, settled.
type meaning struct {
	profile *colour.Profile // nil: CMYK that came without one
	basis   string
	caution *photo.Caution
}

// meaningOf settles which profile gives the picture its colours.
func meaningOf(info *photo.Info) meaning {
	stand, basis, fallback := assumed(info)
	if info.Profile == nil {
		return meaning{stand, basis, noProfile(info, basis)}
	}
	p, err := colour.ParseProfile(info.Profile)
	switch {
	case err != nil:
		return meaning{stand, basis, &photo.Caution{Code: "profile-unusable", Text: err.Error() + "; " + fallback + " was used in its place"}}
	case p.Channels != info.Model.Channels():
		return meaning{stand, basis, &photo.Caution{Code: "profile-mismatch",
			Text: "the embedded profile is not for " + string(info.Model) + " pictures; " + fallback + " was used in its place"}}
	}
	return meaning{profile: p, basis: "embedded"}
}

// assumed is the profile for a picture that brings none that can be used.
func assumed(info *photo.Info) (p *colour.Profile, basis, words string) {
	switch {
	case info.Model == photo.CMYK:
		return nil, "assumed", "plain CMYK arithmetic"
	case info.Model == photo.Grey:
		return grey(), "assumed", "grey with the sRGB curve"
	case info.ColourHint == "a98":
		return a98(), "exif", "Adobe RGB (1998)"
	case info.ColourHint == "srgb" && info.Format == "PNG":
		return srgb(), "png", "sRGB"
	case info.ColourHint == "srgb":
		return srgb(), "exif", "sRGB"
	}
	return srgb(), "assumed", "sRGB"
}

func noProfile(info *photo.Info, basis string) *photo.Caution {
	c := &photo.Caution{Code: "no-profile"}
	switch {
	case info.Model == photo.CMYK:
		c.Text = "a CMYK picture without a profile: its colours are a guess; embed the profile it was made for"
	case info.Model == photo.Grey:
		c.Text = "no profile is embedded: the grey values were taken to follow the sRGB curve"
	case basis == "png":
		return nil // the PNG says sRGB in its own way: nothing is assumed
	case info.ColourHint == "a98":
		c.Text = "no profile is embedded: Adobe RGB (1998) was used, as its EXIF says"
	case basis == "exif":
		c.Text = "no profile is embedded: sRGB was used, as its EXIF says"
	default:
		c.Text = "no profile is embedded: sRGB was assumed"
	}
	return c
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
	if m.caution != nil {
		p.Cautions = append(p.Cautions, *m.caution)
	}
	if o.Settings.StrictProfile && info.Profile != nil && m.basis != "embedded" {
		p.refuseProfile(m)
	}
	p.Colour = PlanColour{Source: "CMYK without a profile", Basis: m.basis, Conversion: "none"}
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
		p.caution("cmyk", "a CMYK picture: its colours were taken to sRGB for an RGB print")
	}
	digest := sha256.Sum256(profile.Bytes)
	p.Colour.Output, p.Colour.Digest = profile.Name, hex.EncodeToString(digest[:])
	p.Colour.Model = string(modelOf(profile.Channels))
}

// refuseProfile is for a stock that would rather not guess.
func (p *Plan) refuseProfile(m meaning) {
	p.Refusal = &Refusal{Code: m.caution.Code,
		Text: fmt.Sprintf("%s, which this stock does not allow (strict_profile): embed the right profile and drop it again", m.caution.Text)}
}

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
