package colour

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"

	"github.com/kovidgoyal/imaging/prism/meta/icc"

	"sizewright/internal/plaintext"
)

// Profile is a parsed ICC profile.
type Profile struct {
	Bytes    []byte // the original bytes; do not change
	Name     string // its description, or ""
	Channels int    // device channels: 1 grey, 3 RGB, 4 CMYK

	icc *icc.Profile
}

// Digest is the SHA-256 of the profile's bytes, in hexadecimal.
func (p *Profile) Digest() string {
	sum := sha256.Sum256(p.Bytes)
	return hex.EncodeToString(sum[:])
}

var errProfile = errors.New("the ICC profile cannot be used")

// ParseProfile reads an ICC v2 or v4 profile for grey, RGB or CMYK device values.
// Invalid or hostile bytes give an error that says what is wrong, and never a panic.
func ParseProfile(data []byte) (p *Profile, err error) {
	defer recoverError(&err)
	if err := checkLayout(data); err != nil {
		return nil, err
	}
	parsed, err := icc.DecodeProfile(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("%w: %s", errProfile, oneLine(err))
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
		return nil, fmt.Errorf("%w: %s", errProfile, oneLine(err))
	}
	return p, nil
}

// recoverError turns a panic into an error: the ICC package reads untrusted bytes.
func recoverError(err *error) {
	if r := recover(); r != nil {
		*err = fmt.Errorf("%w: reading it failed (%s)", errProfile, oneLine(r))
	}
}

// oneLine formats what the ICC package says in one safe line, since it quotes bytes of
// the profile.
func oneLine(said any) string { return plaintext.Line(fmt.Sprint(said)) }

// Linear reports whether device values are proportional to light, or nearly: on the
// neutral axis, half of the device range gives over 0.42 of the light, as a power below
// 1.25 does.
func (p *Profile) Linear() (linear bool, err error) {
	defer recoverError(&err)
	if p.Channels == 4 {
		return false, nil
	}
	colour, err := p.toXYZ(Relative)
	if err != nil {
		return false, err
	}
	at := func(v float64) float64 { return colour([]float64{v, v, v, v})[1] }
	black, white := at(0), at(1)
	return at(0.5)-black > 0.42*(white-black), nil
}

// HighRange returns "PQ" or "HLG" if the profile's cicp tag (ICC.1:2022, 9.2.17 and
// 10.3) says that its values have that high dynamic range, and "" otherwise.
func (p *Profile) HighRange() string {
	be := binary.BigEndian
	for i := range int(be.Uint32(p.Bytes[128:])) { // checkLayout checked the bounds
		entry := p.Bytes[132+12*i:]
		offset, size := be.Uint32(entry[4:]), be.Uint32(entry[8:])
		if string(entry[:4]) == "cicp" && size >= 12 {
			return map[byte]string{16: "PQ", 18: "HLG"}[p.Bytes[offset+9]]
		}
	}
	return ""
}
