package colour

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"strings"

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
func (p *Profile) Digest() string { return fmt.Sprintf("%x", sha256.Sum256(p.Bytes)) }

var errProfile = errors.New("the ICC profile cannot be used")

// errDamaged and errTables are what the ICC package found. Its own words are for
// programmers.
var (
	errDamaged = fmt.Errorf("%w: its header or its list of tags is damaged", errProfile)
	errTables  = fmt.Errorf("%w: the curves or tables of its colours are missing, damaged or of a sort that is not read here", errProfile)
)

// channelsOf are the device channels by the header's signature: ICC.1:2022 7.2.8.
var channelsOf = map[string]int{"GRAY": 1, "RGB ": 3, "CMYK": 4}

// signature shows four bytes of a profile.
func signature(b []byte) string {
	return fmt.Sprintf("%q", strings.TrimSpace(plaintext.Line(string(b))))
}

// ParseProfile reads an ICC v2 or v4 profile for grey, RGB or CMYK device values.
// Invalid or hostile bytes give an error that says what is wrong, and never a panic.
func ParseProfile(data []byte) (p *Profile, err error) {
	defer recoverError(&err)
	if err := checkLayout(data); err != nil {
		return nil, err
	}
	channels := channelsOf[string(data[16:20])]
	if channels == 0 {
		return nil, fmt.Errorf("%w: it is for %s values, not grey, RGB or CMYK", errProfile, signature(data[16:20]))
	}
	if pcs := string(data[20:24]); pcs != "XYZ " && pcs != "Lab " && string(data[12:16]) != "link" {
		return nil, fmt.Errorf("%w: it connects to %s values, not XYZ or Lab", errProfile, signature(data[20:24]))
	}
	parsed, err := icc.DecodeProfile(bytes.NewReader(data))
	if err != nil {
		return nil, errDamaged
	}
	p = &Profile{Bytes: data, Channels: channels, icc: parsed}
	if name, err := parsed.Description(); err == nil {
		p.Name = plaintext.Line(name)
	}
	if _, err := p.toXYZ(Relative); err != nil {
		return nil, err
	}
	return p, nil
}

// recoverError turns a panic into an error: the ICC package reads untrusted bytes.
func recoverError(err *error) {
	if r := recover(); r != nil {
		*err = fmt.Errorf("%w: it is damaged", errProfile)
	}
}

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
