package colour

import (
	"errors"
	"fmt"
	"math"

	"sizewright/internal/exact"
)

// knownPrimaries are those of ITU-T H.273 (07/2024), table 2, by their code point, and
// two more without one. ST 428-1 uses the axes of XYZ.
var knownPrimaries = []struct {
	code byte // 0: none
	name string
	Primaries
}{
	{1, "sRGB", SRGB.Primaries},
	{4, "BT.470 M", Primaries{whiteC, Chromaticity{0.67, 0.33}, Chromaticity{0.21, 0.71}, Chromaticity{0.14, 0.08}}},
	{5, "BT.470 B and G", Primaries{whiteD65, Chromaticity{0.64, 0.33}, Chromaticity{0.29, 0.60}, Chromaticity{0.15, 0.06}}},
	{6, "SMPTE 170M", Primaries{whiteD65, Chromaticity{0.630, 0.340}, Chromaticity{0.310, 0.595}, Chromaticity{0.155, 0.070}}},
	{7, "SMPTE 240M", Primaries{whiteD65, Chromaticity{0.630, 0.340}, Chromaticity{0.310, 0.595}, Chromaticity{0.155, 0.070}}},
	{8, "generic film", Primaries{whiteC, Chromaticity{0.681, 0.319}, Chromaticity{0.243, 0.692}, Chromaticity{0.145, 0.049}}},
	{9, "BT.2020", Primaries{whiteD65, Chromaticity{0.708, 0.292}, Chromaticity{0.170, 0.797}, Chromaticity{0.131, 0.046}}},
	{10, "SMPTE ST 428-1", Primaries{Chromaticity{1. / 3, 1. / 3}, Chromaticity{1, 0}, Chromaticity{0, 1}, Chromaticity{0, 0}}},
	{11, "DCI P3", Primaries{Chromaticity{0.314, 0.351}, Chromaticity{0.680, 0.320}, Chromaticity{0.265, 0.690}, Chromaticity{0.150, 0.060}}},
	{12, "Display P3", Primaries{whiteD65, Chromaticity{0.680, 0.320}, Chromaticity{0.265, 0.690}, Chromaticity{0.150, 0.060}}},
	{22, "EBU 3213-E", Primaries{whiteD65, Chromaticity{0.630, 0.340}, Chromaticity{0.295, 0.605}, Chromaticity{0.155, 0.077}}},
	{0, "Adobe RGB (1998)", A98.Primaries},
	{0, "ROMM RGB", ROMM.Primaries},
}

var whiteD65, whiteC = Chromaticity{0.3127, 0.3290}, Chromaticity{0.310, 0.316}

// transferOf returns a space without primaries that has the transfer characteristics of
// a code point of ITU-T H.273 (07/2024), table 3. It knows those for displays of standard
// dynamic range.
func transferOf(code byte) (t RGBSpace, known bool) {
	switch code {
	case 1, 6, 14, 15, 11, 12: // 11 and 12 differ only outside 0..1
		t = RGBSpace{tone: "the BT.709 curve", Decode: decode709}
	case 4:
		return power(2.2), true
	case 5:
		return power(2.8), true
	case 7:
		t = RGBSpace{tone: "the SMPTE 240M curve", Decode: decode240M}
	case 8:
		return power(1), true
	case 9:
		t = RGBSpace{tone: "a logarithmic curve of 100:1", Decode: unlog(2)}
	case 10:
		t = RGBSpace{tone: "a logarithmic curve of 316:1", Decode: unlog(2.5)}
	case 13:
		return SRGB, true
	case 17:
		t = RGBSpace{tone: "the SMPTE ST 428-1 curve", Decode: func(v float64) float64 { return min(52.37/48*exact.Pow(v, 2.6), 1) }}
	default:
		return t, false
	}
	t.curve = sampled(t.Decode)
	return t, true
}

// decode709 is the inverse of the curve of ITU-R BT.709 and BT.2020, with constants to
// all their digits: H.273, 8.2.
func decode709(v float64) float64 {
	const alpha, beta = 1.09929682680944, 0.018053968510807
	if v < 4.5*beta {
		return v / 4.5
	}
	return exact.Pow((v+alpha-1)/alpha, 1/0.45)
}

func decode240M(v float64) float64 {
	if v < 4*0.0228 {
		return v / 4
	}
	return exact.Pow((v+0.1115)/1.1115, 1/0.45)
}

// unlog returns the inverse of 1 + log10(light)/decades, which is 0 at 0.
func unlog(decades float64) func(float64) float64 {
	return func(v float64) float64 {
		if v <= 0 {
			return 0
		}
		return exact.Pow(10, decades*(v-1))
	}
}

// power returns a pure power. A profile stores it in steps of 1/256, an error below 0.2
// CIEDE2000 for powers from 0.4, and below 0.1 from 1.
func power(gamma float64) RGBSpace {
	entry := math.Round(gamma * 256)
	tone := fmt.Sprintf("gamma %.3g", gamma)
	if entry == 256 {
		tone = "linear light"
	}
	return RGBSpace{tone: tone, Decode: func(v float64) float64 { return exact.Pow(v, gamma) }, curve: []uint16{uint16(entry)}}
}

// CodePoints returns the colour space of two code points of ITU-T H.273: colour
// primaries and transfer characteristics. The error says which of them cannot be used
// for a print; PQ and HLG cannot.
func CodePoints(primaries, characteristics byte) (RGBSpace, error) {
	const unspecified = 2
	switch {
	case primaries == unspecified:
		return RGBSpace{}, errors.New("does not specify its primaries")
	case characteristics == unspecified:
		return RGBSpace{}, errors.New("does not specify its transfer characteristics")
	}
	t, ok := transferOf(characteristics)
	if !ok {
		return RGBSpace{}, fmt.Errorf("has unknown transfer characteristics (%d)", characteristics)
	}
	for _, k := range knownPrimaries {
		if k.code == primaries && k.code != 0 {
			return space(k.name, k.Primaries, t), nil
		}
	}
	return RGBSpace{}, fmt.Errorf("has unknown primaries (%d)", primaries)
}

// Limits for the power that a file may state; a value outside is a mistake. Test
// pictures of PNG's own authors use 0.4 to 2.9.
const minGamma, maxGamma = 0.1, 10

// sRGBPower is the power that the PNG specification (third edition, 11.3.2.5)
// prescribes for pictures in sRGB. A value within sRGBPowerTolerance of it means sRGB.
const sRGBPower, sRGBPowerTolerance = 1 / 0.45455, 0.003

// Stated returns the colour space of stated primaries and of a power from encoded
// values to light. A file may state only one of them: nil primaries, or a gamma of 0,
// mean those of sRGB. The error says what is wrong with the numbers; it completes "it
// says that".
//
// The primaries and the power that PNG prescribes for sRGB are taken for sRGB, although
// its curve is not a power.
func Stated(p *Primaries, gamma float64) (RGBSpace, error) {
	name, at, t := "", knownPrimaries[0].Primaries, SRGB
	if gamma != 0 {
		if !(gamma >= minGamma && gamma <= maxGamma) {
			return RGBSpace{}, fmt.Errorf("a gamma of %.3g is outside the possible range", gamma)
		}
		t = power(gamma)
	}
	if p != nil {
		at = *p
	}
	if err := at.check(); err != nil {
		return RGBSpace{}, err
	}
	for _, k := range knownPrimaries {
		if name == "" && at.near(k.Primaries) {
			name, at = k.name, k.Primaries
		}
	}
	if name == "sRGB" && math.Abs(gamma-sRGBPower) < sRGBPowerTolerance {
		t = SRGB
	}
	return space(name, at, t), nil
}

// space names the well-known spaces and describes the others.
func space(name string, p Primaries, t RGBSpace) RGBSpace {
	s := t
	s.Primaries = p
	switch {
	case name == "sRGB" && t.tone == SRGB.tone:
		return SRGB
	case name == "Adobe RGB (1998)" && t.curve[0] == A98.curve[0]:
		return A98
	case name == "Display P3" && t.tone == SRGB.tone:
		s.Name = name
	case name == "sRGB" && t.tone == "the BT.709 curve":
		s.Name = "ITU-R BT.709"
	case name == "BT.2020" && t.tone == "the BT.709 curve":
		s.Name = "ITU-R BT.2020"
	case name == "":
		s.Name = "RGB of its own primaries, " + t.tone
	default:
		s.Name = name + " primaries, " + t.tone
	}
	return s
}

// near compares with a tolerance for numbers that were rounded to three digits.
func (p Primaries) near(q Primaries) bool {
	const tolerance = 0.0005 + 1e-9
	for _, d := range []float64{p.White.X - q.White.X, p.White.Y - q.White.Y, p.Red.X - q.Red.X, p.Red.Y - q.Red.Y,
		p.Green.X - q.Green.X, p.Green.Y - q.Green.Y, p.Blue.X - q.Blue.X, p.Blue.Y - q.Blue.Y} {
		if !(math.Abs(d) <= tolerance) {
			return false
		}
	}
	return true
}

// check returns an error if primaries cannot define a colour space. Primaries outside
// the visible colours are allowed, as in the PNG specification (third edition,
// 11.3.2.1).
func (p Primaries) check() error {
	for _, c := range []struct {
		name string
		Chromaticity
	}{{"white", p.White}, {"red", p.Red}, {"green", p.Green}, {"blue", p.Blue}} {
		switch {
		case !(math.Abs(c.X) <= 2 && math.Abs(c.Y) <= 2):
			return fmt.Errorf("its %s is at %.4g, %.4g, which is not a colour", c.name, c.X, c.Y)
		case c.Y == 0:
			return fmt.Errorf("its %s has no lightness (y is 0)", c.name)
		}
	}
	r, g, b := p.Red, p.Green, p.Blue
	if area := float64((g.X-r.X)*(b.Y-r.Y)) - float64((b.X-r.X)*(g.Y-r.Y)); math.Abs(area) < 0.01 {
		return errors.New("its primaries are on one line, or nearly")
	}
	if !p.White.visible() {
		return fmt.Errorf("its white is at %.4g, %.4g, which is not a light source", p.White.X, p.White.Y)
	}
	prim := [3][3]float64{{r.X, g.X, b.X}, {r.Y, g.Y, b.Y}, {1 - r.X - r.Y, 1 - g.X - g.Y, 1 - b.X - b.Y}}
	for _, share := range mulVec(inverse(prim), p.White.xyz()) {
		if share <= 0 {
			return errors.New("its white is outside the triangle of its primaries")
		}
	}
	return nil
}

// visible reports whether the chromaticity can be a white point.
func (c Chromaticity) visible() bool {
	if c.Y < 0.05 {
		return false
	}
	for _, v := range mulVec(cone, c.xyz()) {
		if v <= 0 {
			return false
		}
	}
	return true
}

// Agrees reports whether two profiles give visually equal colours: within 1 CIEDE2000
// everywhere, media-relative.
func (p *Profile) Agrees(q *Profile) (same bool, err error) {
	defer recoverError(&err)
	if p.Channels != q.Channels {
		return false, nil
	}
	ours, err := p.toXYZ(Relative)
	if err != nil {
		return false, err
	}
	theirs, err := q.toXYZ(Relative)
	if err != nil {
		return false, err
	}
	const steps = 8
	at := make([]float64, 4)
	for i := range int(exact.Pow(steps+1, float64(p.Channels))) {
		for c := range p.Channels {
			at[c] = float64(i%(steps+1)) / steps
			i /= steps + 1
		}
		if !(deltaE(ours(at).Lab(), theirs(at).Lab()) <= 1) {
			return false, nil
		}
	}
	return true, nil
}
