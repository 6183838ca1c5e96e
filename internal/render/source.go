package render

import (
	"sizewright/internal/colour"
	"sizewright/internal/photo"
)

// PlanColour is what the picture's numbers are taken to mean, and what becomes
// of them.
type PlanColour struct {
	Source     string `json:"source"`     // the picture's profile, by its description
	Basis      string `json:"basis"`      // "embedded", "exif", "png" or "assumed"
	Conversion string `json:"conversion"` // "none" or "cmyk to srgb"
	Output     string `json:"output"`     // the profile in the print
}

// meaning is the picture's profile, settled.
type meaning struct {
	profile *colour.Profile // nil: CMYK that came without one
	basis   string
	caution *photo.Caution
}

// meaningOf settles which profile gives the picture its colours.
func meaningOf(info *photo.Info) meaning {
	builtin, basis, fallback := assumed(info)
	if info.Profile == nil {
		return meaning{builtin, basis, noProfile(info, basis)}
	}
	p, err := colour.ParseProfile(info.Profile)
	switch {
	case err != nil:
		return meaning{builtin, basis, &photo.Caution{Code: "profile-unusable", Text: err.Error() + "; " + fallback + " was used in its place"}}
	case p.Channels != channels(info.Model):
		return meaning{builtin, basis, &photo.Caution{Code: "profile-mismatch",
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
		return builtinGrey(), "assumed", "grey with the sRGB curve"
	case info.ColourHint == "a98":
		return builtin(colour.A98Profile()), "exif", "Adobe RGB (1998)"
	case info.ColourHint == "srgb" && info.Format == "PNG":
		return builtin(colour.SRGBProfile()), "png", "sRGB"
	case info.ColourHint == "srgb":
		return builtin(colour.SRGBProfile()), "exif", "sRGB"
	}
	return builtin(colour.SRGBProfile()), "assumed", "sRGB"
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

func builtin(data []byte) *colour.Profile {
	p, err := colour.ParseProfile(data)
	if err != nil {
		panic("render: a built-in profile does not read: " + err.Error()) // a test holds this
	}
	return p
}

func builtinGrey() *colour.Profile { return builtin(colour.GreyProfile()) }

func channels(m photo.Model) int {
	switch m {
	case photo.Grey:
		return 1
	case photo.CMYK:
		return 4
	}
	return 3
}

func (p *Plan) colour(info *photo.Info) {
	m := meaningOf(info)
	if m.caution != nil {
		p.Cautions = append(p.Cautions, *m.caution)
	}
	p.Colour = PlanColour{Basis: m.basis, Conversion: "none", Source: "CMYK without a profile"}
	if m.profile != nil {
		p.Colour.Source = m.profile.Name
		p.Colour.Output = m.profile.Name
	}
	if info.Model == photo.CMYK {
		p.Colour.Conversion = "cmyk to srgb"
		p.Colour.Output = colour.SRGB.Name
		p.caution("cmyk", "a CMYK picture: its colours were taken to sRGB for an RGB print")
	}
}

// outputProfile is the profile the print carries: the picture's own, byte for
// byte, or the one that was assumed for it.
func outputProfile(info *photo.Info) []byte {
	if info.Model == photo.CMYK {
		return colour.SRGBProfile()
	}
	return meaningOf(info).profile.Bytes
}
