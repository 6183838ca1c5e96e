package order

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/photo"
	"sizewright/internal/render"
	"sizewright/internal/testkit/reference"
)

// chunk is a PNG chunk: length, name, data, checksum (PNG third edition, 5.3).
func chunk(name string, data ...byte) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	b = append(append(b, name...), data...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

// times100000 encodes numbers as gAMA and cHRM do: 11.3.2.1 and 11.3.2.2.
func times100000(values ...int32) (b []byte) {
	for _, v := range values {
		b = binary.BigEndian.AppendUint32(b, uint32(v))
	}
	return b
}

func gAMA(v int32) []byte            { return chunk("gAMA", times100000(v)...) }
func cHRM(v ...int32) []byte         { return chunk("cHRM", times100000(v...)...) }
func cICP(p, t, m, full byte) []byte { return chunk("cICP", p, t, m, full) }

// Primaries in the order of cHRM: white, red, green, blue.
var (
	chrm709 = cHRM(31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000)
	chrmA98 = cHRM(31270, 32900, 64000, 33000, 21000, 71000, 15000, 6000)
	chrmP3  = cHRM(31270, 32900, 68000, 32000, 26500, 69000, 15000, 6000)
)

// pngOf encodes img as a PNG with chunks after its header.
func pngOf(t testing.TB, img image.Image, chunks ...[]byte) string {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	const afterHeader = 8 + 12 + 13
	whole := slices.Concat(b.Bytes()[:afterHeader], slices.Concat(chunks...), b.Bytes()[afterHeader:])
	path := filepath.Join(t.TempDir(), "marsh.png")
	if err := os.WriteFile(path, whole, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// ramp is a small picture in colour, of 8 or 16 bits.
func ramp(deep bool) image.Image {
	m := image.NewNRGBA64(image.Rect(0, 0, 16, 16))
	for y := range 16 {
		for x := range 16 {
			m.Set(x, y, color.NRGBA64{uint16(x * 4369), uint16(y * 4369), uint16((x ^ y) * 4369), 65535})
		}
	}
	if deep {
		return m
	}
	flat := image.NewNRGBA(m.Bounds())
	for i := range flat.Pix {
		flat.Pix[i] = m.Pix[2*i]
	}
	return flat
}

func identified(t testing.TB, path string) *photo.Info {
	t.Helper()
	info, err := photo.Identify(path, photo.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	return info
}

// PNG third edition, 4.3, table of colour chunk priority: cICP before iCCP, then sRGB,
// then gAMA and cHRM. The code points are those of ITU-T H.273.
func TestAPNGSaysItsColoursInManyWays(t *testing.T) {
	romm := iccp(colour.ROMMProfile())
	for _, c := range []struct {
		name         string
		chunks       [][]byte
		source, from string
		cautions     []string // a part of each caution's text
	}{
		{"Display P3 by code points", [][]byte{cICP(12, 13, 0, 1)}, "Display P3", "its cICP chunk", nil},
		{"sRGB by code points", [][]byte{cICP(1, 13, 0, 1)}, "sRGB (IEC 61966-2-1)", "its cICP chunk", nil},
		{"BT.709", [][]byte{cICP(1, 1, 0, 1)}, "ITU-R BT.709", "its cICP chunk", nil},
		{"BT.2020", [][]byte{cICP(9, 14, 0, 1)}, "ITU-R BT.2020", "its cICP chunk", nil},
		{"linear light", [][]byte{cICP(1, 8, 0, 1)}, "sRGB primaries, linear light", "its cICP chunk", []string{"linear light, which enlarging"}},
		{"cICP before all", [][]byte{cICP(12, 13, 0, 1), chunk("sRGB", 0), gAMA(100000), chrmA98}, "Display P3", "its cICP chunk", nil},
		{"cICP before a profile that differs", [][]byte{cICP(12, 13, 0, 1), romm}, "Display P3", "its cICP chunk", []string{"has priority over the embedded profile"}},
		{"cICP beside a profile that agrees", [][]byte{cICP(1, 13, 0, 1), iccp(colour.SRGBProfile())}, "sRGB (IEC 61966-2-1)", "its cICP chunk", nil},
		{"iCCP before sRGB and gAMA", [][]byte{romm, chunk("sRGB", 0), gAMA(45455)}, "ROMM RGB (ISO 22028-2)", "", nil},
		{"sRGB before gAMA", [][]byte{gAMA(100000), chunk("sRGB", 0), chrmA98}, "sRGB (IEC 61966-2-1)", "its sRGB chunk", nil},
		{"Adobe RGB in numbers", [][]byte{gAMA(45455), chrmA98}, "RGB compatible with Adobe RGB (1998)", "its gAMA and cHRM chunks", nil},
		{"sRGB in numbers, as 11.3.2.5 has them", [][]byte{gAMA(45455), chrm709}, "sRGB (IEC 61966-2-1)", "its gAMA and cHRM chunks", nil},
		{"Display P3's primaries", [][]byte{gAMA(45455), chrmP3}, "Display P3 primaries, gamma 2.2", "its gAMA and cHRM chunks", nil},
		{"linear in numbers", [][]byte{gAMA(100000), chrm709}, "sRGB primaries, linear light", "its gAMA and cHRM chunks", []string{"linear light, which enlarging"}},
		{"linear, no primaries", [][]byte{gAMA(100000)}, "sRGB primaries, linear light", "its gAMA chunk", []string{"does not say which primaries", "linear light, which enlarging"}},
		{"primaries, no gamma", [][]byte{chrmP3}, "Display P3", "its cHRM chunk", []string{"does not say which curve"}},
		{"gamma that fits sRGB", [][]byte{gAMA(45455)}, "sRGB (IEC 61966-2-1)", "", []string{"sRGB was assumed, which fits its gAMA chunk"}},
		{"nothing", nil, "sRGB (IEC 61966-2-1)", "", []string{"no profile is embedded: sRGB was assumed"}},

		// What cannot be used is named; the next in order is used.
		{"a broken profile", [][]byte{iccp([]byte("torn")), gAMA(45455), chrmA98}, "RGB compatible with Adobe RGB (1998)", "its gAMA and cHRM chunks",
			[]string{"Adobe RGB (1998), from its gAMA and cHRM chunks, was used in its place"}},
		{"a torn iCCP chunk", [][]byte{chunk("iCCP", 'p', 0, 0, 1, 2), chrmP3, gAMA(45455)}, "Display P3 primaries, gamma 2.2", "its gAMA and cHRM chunks",
			[]string{"not the whole of it", "Display P3 primaries, gamma 2.2, from its gAMA and cHRM chunks, was used in its place"}},
		{"gAMA 0", [][]byte{gAMA(0), chrmP3}, "Display P3", "its cHRM chunk", []string{"gAMA chunk is 0", "does not say which curve"}},
		{"an absurd gAMA", [][]byte{gAMA(1), chrmP3}, "Display P3", "its cHRM chunk", []string{"gamma of 1e+05 is outside the possible range; Display P3, from its cHRM chunk, was used in its place"}},
		{"absurd primaries", [][]byte{gAMA(100000), cHRM(31270, 0, 1, 2, 3, 4, 5, 6)}, "sRGB primaries, linear light", "its gAMA chunk", []string{"its white has no lightness", "linear light, which enlarging"}},
		{"white of no lightness", [][]byte{gAMA(45455), cHRM(31270, 0, 64000, 33000, 21000, 71000, 15000, 6000)}, "sRGB (IEC 61966-2-1)", "", []string{"its white has no lightness (y is 0)"}},
		{"a primary of no lightness", [][]byte{gAMA(45455), cHRM(31270, 32900, 64000, 0, 21000, 71000, 15000, 6000)}, "sRGB (IEC 61966-2-1)", "", []string{"red has no lightness (y is 0)"}},
		{"primaries on a line", [][]byte{gAMA(45455), cHRM(31270, 32900, 60000, 30000, 40000, 20000, 20000, 10000)}, "sRGB (IEC 61966-2-1)", "", []string{"are on one line"}},
		{"white outside", [][]byte{gAMA(45455), cHRM(50000, 48000, 64000, 33000, 21000, 71000, 15000, 6000)}, "sRGB (IEC 61966-2-1)", "", []string{"white is outside the triangle of its primaries"}},
		{"a reserved code point", [][]byte{cICP(3, 13, 0, 1), chunk("sRGB", 0)}, "sRGB (IEC 61966-2-1)", "its sRGB chunk", []string{"unknown primaries (3)"}},
		{"an unknown transfer", [][]byte{cICP(1, 99, 0, 1), gAMA(45455), chrmA98}, "RGB compatible with Adobe RGB (1998)", "its gAMA and cHRM chunks", []string{"unknown transfer characteristics (99)"}},
		{"half unspecified", [][]byte{cICP(9, 2, 0, 1)}, "sRGB (IEC 61966-2-1)", "", []string{"does not specify its transfer characteristics"}},
		{"unspecified says nothing", [][]byte{cICP(2, 2, 0, 1), gAMA(45455), chrmA98}, "RGB compatible with Adobe RGB (1998)", "its gAMA and cHRM chunks", nil},
		{"matrix coefficients", [][]byte{cICP(1, 13, 1, 1), chunk("sRGB", 0)}, "sRGB (IEC 61966-2-1)", "its sRGB chunk", []string{"matrix coefficients 1"}},
		{"a range flag of 7", [][]byte{cICP(12, 13, 0, 7), chunk("sRGB", 0)}, "sRGB (IEC 61966-2-1)", "its sRGB chunk", []string{"full range flag of 7"}},
		{"a short cICP", [][]byte{chunk("cICP", 12, 13, 0), chunk("sRGB", 0)}, "sRGB (IEC 61966-2-1)", "its sRGB chunk", []string{"cICP chunk is 3 bytes long"}},
		{"two that differ", [][]byte{gAMA(45455), gAMA(100000), chrmA98}, "RGB compatible with Adobe RGB (1998)", "its gAMA and cHRM chunks", []string{"more than one gAMA chunk"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, deep := range []bool{false, true} {
				path := pngOf(t, ramp(deep), c.chunks...)
				info := identified(t, path)
				p := NewPlan(info, asked(t, "1x1cm", nil))
				if p.Colour.Source != c.source || p.Colour.StatedBy != c.from || p.Colour.Output != c.source {
					t.Errorf("colours: %+v", p.Colour)
				}
				said := colourCautions(p)
				if len(said) != len(c.cautions) {
					t.Errorf("cautions %q, want %q", said, c.cautions)
				}
				for i := range min(len(said), len(c.cautions)) {
					if !strings.Contains(said[i], c.cautions[i]) {
						t.Errorf("caution %q lacks %q", said[i], c.cautions[i])
					}
				}
				if _, err := photo.Open(path, photo.DefaultLimits()); err != nil {
					t.Error(err)
				}
			}
		})
	}
}

// colourCautions are all but the one about resolution, which a picture of 16 px has.
func colourCautions(p *Plan) (texts []string) {
	for _, c := range p.Cautions {
		if c.Code != "low-resolution" {
			texts = append(texts, c.Text)
		}
	}
	return texts
}

// iccp packs a profile as a PNG chunk does.
func iccp(profile []byte) []byte {
	return chunk("iCCP", slices.Concat([]byte("profile\x00\x00"), zlibbed(profile))...)
}

// A print of PQ, HLG or narrow-range values would be grey and flat. A person has to
// decide how to print them, so they are held, whatever else the file says.
func TestHighDynamicRangeIsHeld(t *testing.T) {
	for _, c := range []struct {
		name   string
		chunks [][]byte
		words  string
	}{
		{"PQ", [][]byte{cICP(9, 16, 0, 1)}, "PQ"},
		{"HLG", [][]byte{cICP(9, 18, 0, 1)}, "HLG"},
		{"PQ beside a profile", [][]byte{iccp(colour.SRGBProfile()), cICP(12, 16, 0, 1), gAMA(45455)}, "PQ"},
		{"PQ with a matrix that PNG forbids", [][]byte{cICP(9, 16, 9, 0)}, "PQ"},
		{"PQ by a profile's name", [][]byte{chunk("iCCP", slices.Concat([]byte("ITUR_2100_PQ_FULL\x00\x00"), zlibbed(colour.SRGBProfile()))...)}, "PQ"},
		{"narrow range", [][]byte{cICP(1, 1, 0, 0)}, "narrow-range"},
	} {
		_, err := photo.Identify(pngOf(t, ramp(true), c.chunks...), photo.DefaultLimits())
		var e *photo.Error
		if !errors.As(err, &e) || !errors.Is(err, photo.Unsupported) || !strings.Contains(err.Error(), c.words) || !strings.Contains(e.Remedy, "export") {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func zlibbed(b []byte) []byte {
	var out bytes.Buffer
	z := zlib.NewWriter(&out)
	z.Write(b)
	z.Close()
	return out.Bytes()
}

// A grey picture has a curve and no primaries.
func TestAGreyPNGSaysItsCurve(t *testing.T) {
	grey := image.NewGray16(image.Rect(0, 0, 16, 16))
	for i := range grey.Pix {
		grey.Pix[i] = byte(i)
	}
	for _, c := range []struct {
		name         string
		chunks       [][]byte
		source, from string
		cautions     int
	}{
		{"sRGB", [][]byte{chunk("sRGB", 0)}, "Grey with the sRGB curve", bySRGB, 0},
		{"cICP", [][]byte{cICP(9, 14, 0, 1)}, "Grey with the BT.709 curve", byCICP, 0},
		{"gAMA 1", [][]byte{gAMA(100000)}, "Grey with linear light", byGAMA, 1},
		{"gAMA 1/1.8", [][]byte{gAMA(55556), chrmA98}, "Grey with gamma 1.8", byGAMA, 0},
		{"gAMA of sRGB", [][]byte{gAMA(45455)}, "Grey with the sRGB curve", byGAMA, 0},
		{"cHRM says nothing of grey", [][]byte{chrmA98}, "Grey with the sRGB curve", "", 1},
		{"gAMA 0", [][]byte{gAMA(0)}, "Grey with the sRGB curve", "", 2},
		{"a profile for colours", [][]byte{iccp(colour.ROMMProfile()), gAMA(100000)}, "Grey with linear light", byGAMA, 2},
	} {
		p := NewPlan(identified(t, pngOf(t, grey, c.chunks...)), asked(t, "1x1cm", nil))
		if p.Colour.Source != c.source || p.Colour.StatedBy != c.from || p.Colour.Model != "grey" || len(colourCautions(p)) != c.cautions {
			t.Errorf("%s: %+v, cautions %q", c.name, p.Colour, colourCautions(p))
		}
	}
}

// CIPA DC-008 (EXIF) 4.6.5 and 4.6.6, TIFF 6.0 section 20: complete colour statements
// of EXIF and of a TIFF's own tags are used; incomplete ones are named in a caution.
func TestEXIFSaysItsColours(t *testing.T) {
	const chromaticities = "-IFD0:PrimaryChromaticities=0.64 0.33 0.21 0.71 0.15 0.06"
	const p3 = "-IFD0:PrimaryChromaticities=0.68 0.32 0.265 0.69 0.15 0.06"
	const white = "-IFD0:WhitePoint=0.3127 0.329"
	cases := []struct {
		name, suffix  string
		tags          []string
		source, basis string
		caution       string
	}{
		{"sRGB", "jpg", []string{"-EXIF:ColorSpace#=1"}, "sRGB", "exif", "sRGB was used, as its EXIF says"},
		{"DCF's optional space", "jpg", []string{"-EXIF:ColorSpace#=65535", "-InteropIFD:InteropIndex=R03"}, "Adobe RGB", "exif", "Adobe RGB (1998) was used, as its EXIF says"},
		{"colour space 2", "jpg", []string{"-EXIF:ColorSpace#=2"}, "Adobe RGB", "exif", "its EXIF gives colour space 2, by which some cameras mean it"},
		{"uncalibrated", "jpg", []string{"-EXIF:ColorSpace#=65535"}, "sRGB", "assumed", "calls its colours uncalibrated and does not say what they are"},
		{"uncalibrated in a PNG", "png", []string{"-EXIF:ColorSpace#=65535"}, "sRGB", "assumed", "calls its colours uncalibrated and does not say what they are"},
		{"sRGB by a PNG's EXIF alone", "png", []string{"-EXIF:ColorSpace#=1"}, "sRGB", "exif", "sRGB was used, as its EXIF says"},
		{"uncalibrated, with sRGB's index", "jpg", []string{"-EXIF:ColorSpace#=65535", "-InteropIFD:InteropIndex=R98"}, "sRGB", "assumed", "interoperability index R98"},
		{"a maker's own", "jpg", []string{"-EXIF:ColorSpace#=65533"}, "sRGB", "assumed", "colour space 65533, which is not known here"},
		{"two that differ", "jpg", []string{"-EXIF:ColorSpace#=1", "-InteropIFD:InteropIndex=R03"}, "sRGB", "exif", "though the interoperability index there (R03) says Adobe RGB"},
		{"numbers", "jpg", []string{"-EXIF:ColorSpace#=65535", white, chromaticities, "-ExifIFD:Gamma=2.2"}, "Adobe RGB", "exif", "Adobe RGB (1998) was used, as its EXIF says"},
		{"numbers without a curve", "tif", []string{white, p3}, "Display P3", "tiff", "its TIFF tags do not say which curve"},
		{"half the numbers", "tif", []string{p3}, "sRGB", "assumed", "has only one, in its TIFF tags"},
	}
	dir := t.TempDir()
	plain := pngOf(t, ramp(false))
	var args []string
	for i, c := range cases { // in one run of ExifTool, which is slow to start
		base, path := filepath.Join(dir, "plain."+c.suffix), filepath.Join(dir, fmt.Sprintf("%d.%s", i, c.suffix))
		if _, err := os.Stat(base); err != nil {
			reference.Output(t, "convert", plain, "-strip", base)
		}
		args = append(args, "-execute", "-q", "-n", "-o", path, "-IFD0:WhitePoint=", "-IFD0:PrimaryChromaticities=")
		args = append(append(args, c.tags...), base)
	}
	reference.Output(t, "exiftool", args[1:]...)
	for i, c := range cases {
		p := NewPlan(identified(t, filepath.Join(dir, fmt.Sprintf("%d.%s", i, c.suffix))), asked(t, "1x1cm", nil))
		if !strings.Contains(p.Colour.Source, c.source) || p.Colour.Basis != c.basis {
			t.Errorf("%s: colours: %+v", c.name, p.Colour)
		}
		if said := strings.Join(colourCautions(p), "\n"); !strings.Contains(said, c.caution) {
			t.Errorf("%s: cautions %q lack %q", c.name, said, c.caution)
		}
	}
}

// A stock with strict_profile holds every statement about colours that cannot be used,
// not only a profile.
func TestAStrictStockHoldsWhatCannotBeRead(t *testing.T) {
	strict := asked(t, "1x1cm", func(s *config.Settings) { s.StrictProfile, s.MinimumPPI = true, 10 })
	for _, c := range []struct {
		name   string
		chunks [][]byte
		held   bool
	}{
		{"nothing said", nil, false},
		{"a torn iCCP chunk", [][]byte{chunk("iCCP", 'p', 0, 0, 1, 2)}, true},
		{"a torn iCCP chunk and sRGB", [][]byte{chunk("iCCP", 'p', 0, 0, 1, 2), chunk("sRGB", 0)}, true},
		{"an unusable profile", [][]byte{iccp([]byte("torn")), chunk("sRGB", 0)}, true},
		{"an unknown code point", [][]byte{cICP(3, 3, 0, 1)}, true},
		{"gAMA 0", [][]byte{gAMA(0), chrmA98}, true},
		{"primaries on a line", [][]byte{gAMA(45455), cHRM(31270, 32900, 60000, 30000, 40000, 20000, 20000, 10000)}, true},
		{"cICP before a torn profile", [][]byte{cICP(12, 13, 0, 1), iccp([]byte("torn"))}, false},
		{"a good profile before gAMA 0", [][]byte{iccp(colour.ROMMProfile()), gAMA(0)}, false},
	} {
		p := NewPlan(identified(t, pngOf(t, ramp(false), c.chunks...)), strict)
		if held := p.Refusal != nil && strings.Contains(p.Refusal.Text, "strict_profile"); held != c.held {
			t.Errorf("%s: held %v: %+v", c.name, held, p.Refusal)
		}
	}
}

// The proof on screen and the gamut use the generated profile too: compared with
// ArgyllCMS's Display P3 converted by Little CMS.
func TestStatedColoursReachTheProofAndTheGamut(t *testing.T) {
	flat := image.NewNRGBA64(image.Rect(0, 0, 64, 64))
	for i := range 64 * 64 {
		flat.SetNRGBA64(i%64, i/64, color.NRGBA64{40000, 30000, 20000, 65535})
	}
	src, err := photo.Open(pngOf(t, flat, cICP(12, 13, 0, 1)), photo.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	o := asked(t, "1x1cm", func(s *config.Settings) { s.MinimumPPI = 10 })
	p := NewPlan(&src.Info, o)
	images, err := render.Preview(t.Context(), p.Preview(o, 64), src, p.Profiles, 1, render.OnWhite)
	if err != nil {
		t.Fatal(err)
	}
	got := images[0].RGBAAt(images[0].Rect.Dx()/2, images[0].Rect.Dy()/2)
	cmd := exec.Command(reference.Tool(t, "transicc"), "-n", "-c0", "-t1", "-i/usr/share/color/argyll/ref/DisplayP3.icm", "-o/usr/share/color/argyll/ref/sRGB.icm")
	cmd.Stdin = strings.NewReader(fmt.Sprintf("%f\n%f\n%f\n", 40000/257., 30000/257., 20000/257.))
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want [3]float64
	fmt.Sscan(string(out), &want[0], &want[1], &want[2])
	for i, v := range []byte{got.R, got.G, got.B} {
		if math.Abs(float64(v)-want[i]) > 0.75 {
			t.Errorf("the proof is %v, Little CMS has %v", got, want)
		}
	}

	red := image.NewNRGBA(image.Rect(0, 0, 64, 64))
	draw.Draw(red, red.Rect, image.NewUniform(color.NRGBA{R: 255, A: 255}), image.Point{}, draw.Src)
	for _, c := range []struct {
		chunks [][]byte
		beyond float64
	}{{nil, 0}, {[][]byte{cICP(12, 13, 0, 1)}, 1}} {
		src, err := photo.Open(pngOf(t, red, c.chunks...), photo.DefaultLimits())
		if err != nil {
			t.Fatal(err)
		}
		m, err := MeasureGamut(src, Output{Profile: colour.BuiltInSRGB()})
		if err != nil {
			t.Fatal(err)
		}
		if g := m.Gamut(); g.Beyond1 != c.beyond {
			t.Errorf("of a red picture %.2f lies beyond sRGB, want %.0f", g.Beyond1, c.beyond)
		}
		src.Close()
	}
}

// FuzzColours tries everything a PNG can say about its colours: the profile found can
// always be read and has a tone curve, or none was stated.
func FuzzColours(f *testing.F) {
	f.Add(byte(12), byte(13), []byte(nil), []byte(nil), byte(0))
	f.Add(byte(2), byte(2), times100000(45455), chrmA98[8:40], byte(0))
	f.Add(byte(2), byte(2), times100000(100000), []byte(nil), byte(1))
	f.Add(byte(2), byte(2), []byte(nil), times100000(32168, 33767, 73470, 26530, 0, 100000, 10, -7700), byte(2))
	f.Fuzz(func(t *testing.T, primaries, transfer byte, power, numbers []byte, form byte) {
		info := picture(6, 4)
		info.Format, info.Model = "PNG", []photo.Model{photo.RGB, photo.Grey, photo.CMYK}[form%3]
		info.Stated = photo.Stated{CICP: &photo.CICP{Primaries: primaries, Transfer: transfer}, From: photo.FromPNG}
		if len(power) >= 4 {
			info.Stated.Gamma = 100000 / max(float64(binary.BigEndian.Uint32(power)), 1)
		}
		if len(numbers) >= 32 {
			at := func(i int) [2]float64 {
				return [2]float64{float64(int32(binary.BigEndian.Uint32(numbers[8*i:]))) / 100000, float64(int32(binary.BigEndian.Uint32(numbers[8*i+4:]))) / 100000}
			}
			info.Stated.Primaries = &photo.Primaries{White: at(0), Red: at(1), Green: at(2), Blue: at(3)}
		}
		m := meaningOf(info)
		if (m.profile == nil) != (info.Model == photo.CMYK) || m.basis == "" || m.basis == "assumed" && len(m.cautions) == 0 {
			t.Fatalf("%+v", m)
		}
		if m.profile != nil {
			if _, err := m.profile.Tone(); err != nil {
				t.Fatal(err)
			}
		}
	})
}
