package colour

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/kovidgoyal/imaging/prism/meta/icc"

	"sizewright/internal/plaintext"
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
	if err := checkLayout(data); err != nil {
		return nil, err
	}
	parsed, err := icc.DecodeProfile(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("%w: %s", errProfile, plain(err))
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
		p.Name = plaintext.Line(name)
	}
	if _, err := p.toXYZ(Relative); err != nil {
		return nil, fmt.Errorf("%w: %s", errProfile, plain(err))
	}
	return p, nil
}

// contain turns a panic below it into an error: the ICC reader is fed bytes
// from strangers.
func contain(err *error) {
	if r := recover(); r != nil {
		*err = fmt.Errorf("%w: reading it failed (%s)", errProfile, plain(r))
	}
}

// plain is what the ICC reader says, in one line: it quotes the bytes it meets.
func plain(said any) string { return plaintext.Line(fmt.Sprint(said)) }
