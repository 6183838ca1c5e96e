package colour

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sizewright/internal/testkit/reference"
)

const (
	colordProfiles = "/usr/share/color/icc/colord/"
	argyllProfiles = "/usr/share/color/argyll/ref/"
)

func codes(t *testing.T, primaries, transfer byte) RGBSpace {
	t.Helper()
	s, err := CodePoints(primaries, transfer)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func spaceOf(t *testing.T, gamma float64, xy ...float64) RGBSpace {
	t.Helper()
	s, err := Stated(primaries(xy...), gamma)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// primaries returns the primaries with these chromaticities: white, red, green and blue.
func primaries(xy ...float64) *Primaries {
	return &Primaries{Chromaticity{xy[0], xy[1]}, Chromaticity{xy[2], xy[3]}, Chromaticity{xy[4], xy[5]}, Chromaticity{xy[6], xy[7]}}
}

// Our conversion of spaces from code points or numbers is within 0.5 CIEDE2000 of Little
// CMS with other people's profiles of these spaces: ArgyllCMS's and colord's. The numbers
// of colord's spaces are from B. Lindbloom, "RGB Working Space Information".
func TestStatedSpacesAgreeWithTheirProfiles(t *testing.T) {
	const a98Gamma = 1 / 0.45455 // as stored in PNG's gAMA
	for _, c := range []struct {
		space RGBSpace
		name  string // the expected name; "" is any
		file  string
	}{
		{codes(t, 12, 13), "Display P3", argyllProfiles + "DisplayP3.icm"},
		{codes(t, 1, 13), "sRGB (IEC 61966-2-1)", colordProfiles + "sRGB.icc"},
		{codes(t, 1, 1), "ITU-R BT.709", argyllProfiles + "Rec709.icm"},
		{codes(t, 1, 6), "ITU-R BT.709", colordProfiles + "Rec709.icc"},
		{codes(t, 9, 14), "ITU-R BT.2020", argyllProfiles + "Rec2020.icm"},
		{codes(t, 9, 1), "ITU-R BT.2020", argyllProfiles + "Rec2020.icm"},
		{codes(t, 5, 6), "BT.470 B and G primaries, the BT.709 curve", argyllProfiles + "EBU3213_PAL.icm"},
		{codes(t, 6, 6), "SMPTE 170M primaries, the BT.709 curve", argyllProfiles + "SMPTE_RP145_NTSC.icm"},
		{codes(t, 4, 4), "BT.470 M primaries, gamma 2.2", colordProfiles + "NTSC-RGB.icc"},
		{spaceOf(t, a98Gamma, 0.3127, 0.3290, 0.64, 0.33, 0.21, 0.71, 0.15, 0.06), A98.Name, colordProfiles + "AdobeRGB1998.icc"},
		{spaceOf(t, a98Gamma, 0.313, 0.329, 0.64, 0.33, 0.21, 0.71, 0.15, 0.06), A98.Name, argyllProfiles + "ClayRGB1998.icm"},
		{spaceOf(t, a98Gamma, 0.3127, 0.3290, 0.64, 0.33, 0.30, 0.60, 0.15, 0.06), SRGB.Name, argyllProfiles + "sRGB.icm"},
		{spaceOf(t, 2.6, 0.314, 0.351, 0.68, 0.32, 0.265, 0.69, 0.15, 0.06), "DCI P3 primaries, gamma 2.6", argyllProfiles + "SMPTE431_P3.icm"},
		{spaceOf(t, 1, 0.3457, 0.3585, 0.7347, 0.2653, 0.1596, 0.8404, 0.0366, 0.0001), "ROMM RGB primaries, linear light", argyllProfiles + "ProPhotoLin.icm"},
		{spaceOf(t, 2.2, 0.3457, 0.3585, 0.735, 0.265, 0.115, 0.826, 0.157, 0.018), "RGB of its own primaries, gamma 2.2", colordProfiles + "WideGamutRGB.icc"},
		{spaceOf(t, 2.2, 0.3127, 0.3290, 0.64, 0.33, 0.28, 0.65, 0.15, 0.06), "", colordProfiles + "BruceRGB.icc"},
		{spaceOf(t, 1.8, 0.3457, 0.3585, 0.67, 0.33, 0.21, 0.71, 0.14, 0.08), "", colordProfiles + "ECI-RGBv1.icc"},
		{spaceOf(t, 1.8, 0.3127, 0.3290, 0.625, 0.34, 0.28, 0.595, 0.155, 0.07), "", colordProfiles + "AppleRGB.icc"},
		{spaceOf(t, 2.2, 1./3, 1./3, 0.735, 0.265, 0.274, 0.717, 0.167, 0.009), "", colordProfiles + "CIE-RGB.icc"},
	} {
		if c.name != "" && c.space.Name != c.name {
			t.Errorf("%s is called %q", filepath.Base(c.file), c.space.Name)
		}
		ours, err := ParseProfile(c.space.Profile())
		if err != nil {
			t.Fatal(err)
		}
		theirs := namedFile(t, c.file)
		to := []string{"ProPhotoRGB"}
		if c.name == "Display P3" || c.name == "ITU-R BT.2020" { // what clips
			to = append(to, "sRGB")
		}
		for _, to := range to {
			dest := namedFile(t, colordProfiles+to+".icc")
			colours := testColours(3, 1500)
			want := byLittleCMS(t, theirs, dest, Relative, false, colours)
			got := baked(t, Chain{ours, dest.Profile, Relative, false}, colours)
			mean, worst, at := differences(t, dest, got, want)
			t.Logf("%s to %s: mean %.3f, worst %.3f", c.space.Name, to, mean, worst)
			if !(worst <= bakedWorst && mean <= bakedMean) {
				t.Errorf("%s to %s: mean %.4f, worst %.3f at %.4f: %.4f, Little CMS %.4f", c.space.Name, to, mean, worst, colours[at], got[at], want[at])
			}
		}
	}
}

func namedFile(t *testing.T, file string) named {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatalf("%v; scripts/test.sh installs it", err)
	}
	p, err := ParseProfile(data)
	if err != nil {
		t.Fatal(err)
	}
	return named{filepath.Base(file), file, p}
}

// Every profile made from a code point or a number is read by other programs without a
// warning, and has the curve that it was made from.
func TestStatedProfilesAreReadByOthers(t *testing.T) {
	dir := t.TempDir()
	var files []string
	add := func(s RGBSpace) {
		for i, data := range [][]byte{s.Profile(), s.GreyProfile()} {
			p, err := ParseProfile(data)
			if err != nil {
				t.Fatalf("%s: %v", s.Name, err)
			}
			colour, err := p.toXYZ(Relative)
			if err != nil {
				t.Fatal(err)
			}
			for v := 0.0; v <= 1; v += 1.0 / 64 {
				want := XYZ{D50[0] * s.Decode(v), s.Decode(v), D50[2] * s.Decode(v)}
				if d := deltaE(colour([]float64{v, v, v, 0}).Lab(), want.Lab()); d > 0.2 {
					t.Errorf("%s: %.3f from its curve at %.3f", p.Name, d, v)
				}
			}
			file := filepath.Join(dir, strings.NewReplacer(" ", "-", "/", "-").Replace(s.Name)+[]string{"", "-grey"}[i]+".icc")
			if err := os.WriteFile(file, data, 0o600); err != nil {
				t.Fatal(err)
			}
			files = append(files, file)
		}
	}
	for _, k := range knownPrimaries {
		if k.code != 0 {
			add(codes(t, k.code, 13))
		}
	}
	for _, code := range []byte{1, 4, 5, 7, 8, 9, 10, 11, 12, 14, 15, 17} {
		add(codes(t, 1, code))
	}
	for _, gamma := range []float64{0.4, 0.6, 1 / 0.55, 1 / 0.6, 3} {
		add(spaceOf(t, gamma, 0.32168, 0.33767, 0.7347, 0.2653, 0, 1, 0.0001, -0.077)) // ACES AP0: blue is below y = 0
	}
	if said := reference.Output(t, "exiftool", append([]string{"-validate", "-warning", "-error", "-a", "-s3"}, files...)...); strings.Contains(strings.ToLower(strings.ReplaceAll(said, "OK", "")), "warning") {
		t.Errorf("ExifTool: %s", said)
	}
	for _, file := range files[:4] {
		if said := reference.Output(t, "iccdump", file); !strings.Contains(said, "Header") || strings.Contains(strings.ToLower(said), "error") {
			t.Errorf("iccdump of %s: %s", filepath.Base(file), said)
		}
	}
}

// ITU-T H.273 table 3 has these curves from light to values; ours are their inverses.
func TestTransferCharacteristicsAreThoseOfH273(t *testing.T) {
	bt709 := func(l float64) float64 {
		if l < 0.018053968510807 {
			return 4.5 * l
		}
		return 1.09929682680944*math.Pow(l, 0.45) - 0.09929682680944
	}
	for code, encode := range map[byte]func(l float64) float64{
		1: bt709, 6: bt709, 11: bt709, 12: bt709, 14: bt709, 15: bt709,
		4: func(l float64) float64 { return math.Pow(l, 1/2.2) },
		5: func(l float64) float64 { return math.Pow(l, 1/2.8) },
		7: func(l float64) float64 {
			if l < 0.0228 {
				return 4 * l
			}
			return 1.1115*math.Pow(l, 0.45) - 0.1115
		},
		8:  func(l float64) float64 { return l },
		9:  func(l float64) float64 { return 1 + math.Log10(max(l, 0.01))/2 },
		10: func(l float64) float64 { return 1 + math.Log10(max(l, math.Sqrt(10)/1000))/2.5 },
		13: func(l float64) float64 {
			if l < 0.0031308 {
				return 12.92 * l
			}
			return 1.055*math.Pow(l, 1/2.4) - 0.055
		},
		17: func(l float64) float64 { return math.Pow(48*l/52.37, 1/2.6) },
	} {
		s := codes(t, 1, code)
		for _, l := range []float64{0.02, 0.1, 0.18, 0.5, 0.9, 1} {
			if got := s.Decode(encode(l)); math.Abs(got-l) > 2e-4 {
				t.Errorf("code %d: light %v comes back as %v", code, l, got)
			}
		}
	}
	for _, code := range []byte{0, 2, 3, 16, 18, 19, 255} {
		if s, err := CodePoints(1, code); err == nil {
			t.Errorf("transfer %d is %q", code, s.Name)
		}
	}
	for _, code := range []byte{0, 2, 3, 13, 21, 23, 255} {
		if s, err := CodePoints(code, 13); err == nil {
			t.Errorf("primaries %d are %q", code, s.Name)
		}
	}
}

// ArgyllCMS has a linear ROMM RGB, and icc-profiles-free a grey of gamma 1; the others have
// a curve.
func TestLinearLightIsKnown(t *testing.T) {
	for file, want := range map[string]bool{
		argyllProfiles + "ProPhotoLin.icm": true, argyllProfiles + "ProPhoto.icm": false, argyllProfiles + "Rec709.icm": false,
		colordProfiles + "AppleRGB.icc": false, colordProfiles + "sRGB.icc": false, "/usr/share/color/icc/Gray.icc": true, "/usr/share/color/icc/Gray-CIE_L.icc": false,
	} {
		if got, err := namedFile(t, file).Linear(); err != nil || got != want {
			t.Errorf("%s: linear %v, %v", filepath.Base(file), got, err)
		}
	}
}

// ICC.1:2022 10.3: the code points of the cicp tag; PQ and HLG have high dynamic range.
func TestAProfileOfHighRangeIsKnown(t *testing.T) {
	for transfer, want := range map[byte]string{1: "", 13: "", 16: "PQ", 18: "HLG"} {
		m := SRGB.Matrix()
		curve := curveTag(SRGB.curve)
		column := func(j int) []byte { return xyzTag([3]float64{m[0][j], m[1][j], m[2][j]}) }
		p, err := ParseProfile(assemble("RGB ", []tag{
			{"desc", descTag("test")}, {"cicp", []byte{'c', 'i', 'c', 'p', 0, 0, 0, 0, 9, transfer, 0, 1}}, {"wtpt", xyzTag(D50)},
			{"rXYZ", column(0)}, {"gXYZ", column(1)}, {"bXYZ", column(2)}, {"rTRC", curve}, {"gTRC", curve}, {"bTRC", curve},
		}))
		if err != nil {
			t.Fatal(err)
		}
		if got := p.HighRange(); got != want {
			t.Errorf("transfer %d: %q", transfer, got)
		}
	}
}
