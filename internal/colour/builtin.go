package colour

import (
	"encoding/binary"
	"math"
	"sync"

	"sizewright/internal/exact"
)

// Chromaticity is a CIE 1931 (x, y) pair.
type Chromaticity struct{ X, Y float64 }

// Primaries are the chromaticities of a white and three primaries.
type Primaries struct{ White, Red, Green, Blue Chromaticity }

// RGBSpace is a colour space with three primaries.
type RGBSpace struct {
	Name string // the description of its profile
	Primaries
	Decode func(v float64) float64 // encoded 0..1 to linear light 0..1
	tone   string                  // name of the curve: "the sRGB curve", "gamma 2.2"
	curve  []uint16                // ICC v2 curveType entries; one entry is u8Fixed8 gamma
}

// The built-in spaces, with published primaries, whites and curves. The profiles are
// our own, and so are their names.
var (
	// SRGB is IEC 61966-2-1:1999.
	SRGB = RGBSpace{
		Name:      "sRGB (IEC 61966-2-1)",
		Primaries: Primaries{whiteD65, Chromaticity{0.64, 0.33}, Chromaticity{0.30, 0.60}, Chromaticity{0.15, 0.06}},
		Decode:    decodeSRGB,
		tone:      "the sRGB curve",
		curve:     sampled(decodeSRGB),
	}
	// A98 is the space of Adobe RGB (1998) Color Image Encoding, version 2005-05,
	// sections 4.3.1.1 and 4.3.4.2: gamma is exactly 563/256.
	A98 = RGBSpace{
		Name:      "RGB compatible with Adobe RGB (1998)",
		Primaries: Primaries{whiteD65, Chromaticity{0.64, 0.33}, Chromaticity{0.21, 0.71}, Chromaticity{0.15, 0.06}},
		Decode:    func(v float64) float64 { return exact.Pow(v, 563.0/256) },
		tone:      "gamma 2.2",
		curve:     []uint16{563},
	}
	// ROMM is ROMM RGB, ISO 22028-2:2013: D50 white, gamma 1.8, linear below 16/512.
	ROMM = RGBSpace{
		Name:      "ROMM RGB (ISO 22028-2)",
		Primaries: Primaries{Chromaticity{0.3457, 0.3585}, Chromaticity{0.7347, 0.2653}, Chromaticity{0.1596, 0.8404}, Chromaticity{0.0366, 0.0001}},
		Decode:    decodeROMM,
		tone:      "the ROMM curve",
		curve:     sampled(decodeROMM),
	}
)

// The profiles of the built-in spaces, read once and shared.
var (
	BuiltInSRGB = builtIn(SRGBProfile)
	BuiltInA98  = builtIn(A98Profile)
	BuiltInROMM = builtIn(ROMMProfile)
	BuiltInGrey = builtIn(GreyProfile)
)

func builtIn(data func() []byte) func() *Profile {
	return sync.OnceValue(func() *Profile {
		p, err := ParseProfile(data())
		if err != nil {
			panic("colour: a built-in profile does not read: " + err.Error()) // a test holds this
		}
		return p
	})
}

// The bytes of ICC v2 profiles of these spaces, and of one for grey with the curve of
// [SRGB]. They are shared: do not change them.
var (
	SRGBProfile = sync.OnceValue(SRGB.Profile)
	A98Profile  = sync.OnceValue(A98.Profile)
	ROMMProfile = sync.OnceValue(ROMM.Profile)
	GreyProfile = sync.OnceValue(SRGB.GreyProfile)
)

// GreyProfile returns the bytes of an ICC v2 profile for grey with the curve of the
// space. Its primaries are not used.
func (s RGBSpace) GreyProfile() []byte {
	return assemble("GRAY", []tag{
		{"desc", descTag("Grey with " + s.tone)},
		{"cprt", copyright()},
		{"wtpt", xyzTag(D50)},
		{"kTRC", curveTag(s.curve)},
	})
}

func decodeSRGB(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return exact.Pow((v+0.055)/1.055, 2.4)
}

func decodeROMM(v float64) float64 {
	if v < 16.0/512 {
		return v / 16
	}
	return exact.Pow(v, 1.8)
}

// curveEntries is the length of a sampled curve. With it, linear interpolation stays
// within half a 16-bit step of either formula.
const curveEntries = 4096

func sampled(f func(float64) float64) []uint16 {
	c := make([]uint16, curveEntries)
	for i := range c {
		c[i] = uint16(math.Round(65535 * f(float64(i)/(curveEntries-1))))
	}
	return c
}

// Matrix returns the matrix from linear RGB to XYZ, adapted to D50 with the Bradford
// transform of ICC.1:2022 annex E. Its columns are the primaries.
func (s RGBSpace) Matrix() [3][3]float64 {
	prim := [3][3]float64{}
	for j, c := range []Chromaticity{s.Red, s.Green, s.Blue} {
		for i, v := range []float64{c.X, c.Y, 1 - c.X - c.Y} { // not scaled to luminance 1: the luminance may be 0
			prim[i][j] = v
		}
	}
	white := s.White.xyz()
	gain := mulVec(inverse(prim), white)
	for i := range 3 {
		for j := range 3 {
			prim[i][j] *= gain[j]
		}
	}
	return mul(bradford(white, D50), prim)
}

// xyz returns the colour of unit luminance with this chromaticity.
func (c Chromaticity) xyz() [3]float64 {
	return [3]float64{c.X / c.Y, 1, (1 - c.X - c.Y) / c.Y}
}

// cone is the Bradford matrix from XYZ to cone responses.
var cone = [3][3]float64{{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367}, {0.0389, -0.0685, 1.0296}}

// bradford returns the adaptation of XYZ from one white to another, ICC.1:2022 annex
// E.2.
func bradford(from, to [3]float64) [3][3]float64 {
	f, t := mulVec(cone, from), mulVec(cone, to)
	scale := [3][3]float64{}
	for i := range 3 {
		scale[i][i] = t[i] / f[i]
	}
	return mul(inverse(cone), mul(scale, cone))
}

// Profile returns an ICC v2.1 (ICC.1:2001-04) display profile of the space, with three
// curves and a matrix: the form that every printer driver reads. Its bytes are always
// the same.
func (s RGBSpace) Profile() []byte {
	m := s.Matrix()
	column := func(j int) []byte { return xyzTag([3]float64{m[0][j], m[1][j], m[2][j]}) }
	curve := curveTag(s.curve)
	return assemble("RGB ", []tag{
		{"desc", descTag(s.Name)},
		{"cprt", copyright()},
		{"wtpt", xyzTag(s.White.xyz())},
		{"rXYZ", column(0)}, {"gXYZ", column(1)}, {"bXYZ", column(2)},
		{"rTRC", curve}, {"gTRC", curve}, {"bTRC", curve},
	})
}

type tag struct {
	sig  string
	data []byte
}

// assemble joins header, tag table and tags. A tag with the same bytes as the one
// before shares them, as the curves do.
func assemble(space string, tags []tag) []byte {
	be := binary.BigEndian
	head := make([]byte, 128)
	be.PutUint32(head[8:], 0x02100000) // version 2.1
	copy(head[12:], "mntr"+space+"XYZ ")
	for i, v := range []uint16{2026, 1, 1, 0, 0, 0} { // a fixed date, so that the bytes are always the same
		be.PutUint16(head[24+2*i:], v)
	}
	copy(head[36:], "acsp")
	copy(head[68:], xyzTag(D50)[8:])

	table := be.AppendUint32(nil, uint32(len(tags)))
	offset := 128 + 4 + 12*len(tags)
	var body []byte
	var last tag
	var lastAt int
	for _, t := range tags {
		if string(t.data) != string(last.data) {
			lastAt = offset + len(body)
			body = append(body, t.data...)
			body = append(body, make([]byte, -len(body)&3)...)
		}
		last = t
		table = append(table, t.sig...)
		table = be.AppendUint32(table, uint32(lastAt))
		table = be.AppendUint32(table, uint32(len(t.data)))
	}
	out := append(append(head, table...), body...)
	be.PutUint32(out, uint32(len(out)))
	return out
}

func copyright() []byte {
	return []byte("text\x00\x00\x00\x00No copyright, use freely\x00")
}

func xyzTag(v [3]float64) []byte {
	b := []byte("XYZ \x00\x00\x00\x00")
	for _, x := range v {
		b = binary.BigEndian.AppendUint32(b, uint32(int32(math.Round(x*65536))))
	}
	return b
}

func curveTag(entries []uint16) []byte {
	b := binary.BigEndian.AppendUint32([]byte("curv\x00\x00\x00\x00"), uint32(len(entries)))
	for _, v := range entries {
		b = binary.BigEndian.AppendUint16(b, v)
	}
	return b
}

// descTag returns the textDescriptionType of ICC.1:2001-04 6.5.17: an ASCII string,
// with empty Unicode and script strings.
func descTag(name string) []byte {
	b := binary.BigEndian.AppendUint32([]byte("desc\x00\x00\x00\x00"), uint32(len(name)+1))
	b = append(b, name...)
	return append(b, make([]byte, 1+8+3+67)...)
}

func mul(a, b [3][3]float64) (c [3][3]float64) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				c[i][j] += float64(a[i][k] * b[k][j])
			}
		}
	}
	return c
}

func mulVec(a [3][3]float64, v [3]float64) (r [3]float64) {
	for i := range 3 {
		r[i] = float64(a[i][0]*v[0]) + float64(a[i][1]*v[1]) + float64(a[i][2]*v[2])
	}
	return r
}

func inverse(m [3][3]float64) (r [3][3]float64) {
	cof := func(i, j int) float64 {
		a, b, c, d := (i+1)%3, (i+2)%3, (j+1)%3, (j+2)%3
		return float64(m[a][c]*m[b][d]) - float64(m[a][d]*m[b][c])
	}
	det := float64(m[0][0]*cof(0, 0)) + float64(m[0][1]*cof(0, 1)) + float64(m[0][2]*cof(0, 2))
	for i := range 3 {
		for j := range 3 {
			r[j][i] = cof(i, j) / det
		}
	}
	return r
}
