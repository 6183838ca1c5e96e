package colour

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/kovidgoyal/imaging/prism/meta/icc"
)

// Profile is an ICC profile that was read and understood.
type Profile struct {
	Bytes    []byte // as found, byte for byte; do not change
	Name     string // its description, "" if it carries none
	Channels int    // device channels: 1 grey, 3 RGB, 4 CMYK

	icc *icc.Profile
}

var errProfile = errors.New("the ICC profile cannot be used")

// ParseProfile reads an ICC v2 or v4 profile of grey, RGB or CMYK device
// values. The error says what is wrong with it; hostile bytes give an error
// and never a panic.
func ParseProfile(data []byte) (p *Profile, err error) {
	defer contain(&err)
	if len(data) < 132 {
		return nil, fmt.Errorf("%w: it is %d bytes long, shorter than any profile", errProfile, len(data))
	}
	parsed, err := icc.DecodeProfile(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("%w: %v", errProfile, err)
	}
	p = &Profile{Bytes: data, icc: parsed}
	switch parsed.Header.DataColorSpace {
	case icc.ColorSpaceGray:
		p.Channels = 1
	case icc.ColorSpaceRGB:
		p.Channels = 3
	case icc.ColorSpaceCMYK:
		p.Channels = 4
	default:
		return nil, fmt.Errorf("%w: it is for %v values, not grey, RGB or CMYK", errProfile, parsed.Header.DataColorSpace)
	}
	if name, err := parsed.Description(); err == nil {
		p.Name = name
	}
	if _, err := p.toPCS(icc.RelativeColorimetricRenderingIntent); err != nil {
		return nil, fmt.Errorf("%w: %v", errProfile, err)
	}
	return p, nil
}

// contain turns a panic below it into an error: the ICC reader is fed bytes
// from strangers.
func contain(err *error) {
	if r := recover(); r != nil {
		*err = fmt.Errorf("%w: reading it failed (%v)", errProfile, r)
	}
}

func (p *Profile) toPCS(intent icc.RenderingIntent) (*icc.Pipeline, error) {
	if len(p.icc.Header.PCSIlluminant) == 0 {
		return nil, errors.New("no illuminant")
	}
	return p.icc.CreateTransformerToPCS(intent, p.Channels, true)
}

// Luminance returns the Y, relative to the perfect diffuser, of device values.
// in holds Channels values in 0..1. Not safe for concurrent use of one func.
func (p *Profile) Luminance() (func(in ...float64) float64, error) {
	pipe, err := p.toPCS(icc.RelativeColorimetricRenderingIntent)
	if err != nil {
		return nil, err
	}
	lab := p.icc.Header.ProfileConnectionSpace == icc.ColorSpaceLab
	src, dst := make([]float64, 16), make([]float64, 16)
	return func(in ...float64) float64 {
		copy(src, in)
		pipe.TransformGeneral(dst, src)
		if lab {
			return luminanceOfLightness(dst[0])
		}
		return dst[1]
	}, nil
}

// luminanceOfLightness inverts CIE L*, CIE 15:2018 equation 8.3.
func luminanceOfLightness(l float64) float64 {
	if l <= 8 {
		return l * 27 / 24389
	}
	f := (l + 16) / 116
	return f * f * f
}
