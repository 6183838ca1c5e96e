package render_test

import (
	"bytes"
	"fmt"
	"image"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/render"
	"sizewright/internal/testkit/reference"
)

func profileOf(t testing.TB, data []byte) *colour.Profile {
	t.Helper()
	p, err := colour.ParseProfile(data)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// ownPixels returns an order that keeps a picture of 300 x 200 px pixel for pixel, so
// that only colour changes.
func ownPixels(t testing.TB, o order.Output) order.Order {
	t.Helper()
	ord := asked(t, "2x3in", func(s *config.Settings) { lenient(s); s.PPI, s.OutputSharpening, s.Compression = 100, 0, "none" })
	ord.Output = o
	return ord
}

// Whole pictures are compared with Little CMS's own program for TIFFs, at 16 bits.
func TestAWholeConversionIsThatOfTificc(t *testing.T) {
	reference.Tool(t, "tificc")
	src := save(t, patterned(300, 200))
	kept, _ := printed(t, src, ownPixels(t, order.Output{}), 1)
	dir := t.TempDir()
	in := filepath.Join(dir, "in.tif")
	if err := os.WriteFile(in, kept, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name       string
		profile    []byte
		mean, most float64 // in steps of 1/65535
	}{
		// Little CMS inverts a pure gamma by a table in 16 bits, which near black is a
		// few thousandths off in encoded values.
		{"a98", colour.A98Profile(), 2, 300},
		{"romm", colour.ROMMProfile(), 2, 60},
		{"press", reference.PressProfile(t), 30, 1000},
	} {
		t.Run(c.name, func(t *testing.T) {
			icc, out := filepath.Join(dir, c.name+".icc"), filepath.Join(dir, c.name+".tif")
			if err := os.WriteFile(icc, c.profile, 0o644); err != nil {
				t.Fatal(err)
			}
			reference.Output(t, "tificc", "-w16", "-t1", "-c0", "-i"+writeSRGB(t, dir), "-o"+icc, in, out)
			data, plan := printed(t, src, ownPixels(t, order.Output{Profile: profileOf(t, c.profile), Kind: order.ToStock, Intent: colour.Relative}), 2)
			if plan.Scale.Kernel != "none" {
				t.Fatalf("planned as %+v", plan.Scale)
			}
			ours := filepath.Join(dir, "ours.tif")
			if err := os.WriteFile(ours, data, 0o644); err != nil {
				t.Fatal(err)
			}
			mean, most := compareFiles(t, ours, out)
			t.Logf("mean difference %.2f, most %.0f of 65535", mean, most)
			if mean > c.mean || most > c.most {
				t.Errorf("mean difference %.2f, most %.0f of 65535; allowed %.0f and %.0f", mean, most, c.mean, c.most)
			}
		})
	}
}

func writeSRGB(t *testing.T, dir string) string {
	t.Helper()
	name := filepath.Join(dir, "srgb.icc")
	if err := os.WriteFile(name, colour.SRGBProfile(), 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

// compareFiles reads two TIFFs with libvips and compares their 16-bit values.
func compareFiles(t *testing.T, a, b string) (mean, most float64) {
	t.Helper()
	var raw [2][]byte
	for i, name := range []string{a, b} {
		out := filepath.Join(t.TempDir(), "v.raw")
		reference.Output(t, "vips", "rawsave", name, out)
		data, err := os.ReadFile(out)
		if err != nil {
			t.Fatal(err)
		}
		raw[i] = data
	}
	if len(raw[0]) != len(raw[1]) || len(raw[0]) == 0 {
		t.Fatalf("%d and %d bytes", len(raw[0]), len(raw[1]))
	}
	for i := 0; i < len(raw[0]); i += 2 {
		at := func(d []byte) float64 { return float64(int(d[i]) | int(d[i+1])<<8) }
		d := math.Abs(at(raw[0]) - at(raw[1]))
		mean += d / float64(len(raw[0])/2)
		most = max(most, d)
	}
	return mean, most
}

func TestInksBecomeAFourInkTIFFForEveryReader(t *testing.T) {
	src := save(t, patterned(300, 200))
	o := ownPixels(t, order.Output{Profile: profileOf(t, reference.PressProfile(t)), Kind: order.ToStock, Intent: colour.Relative, BlackPoint: true})
	for _, bits := range []int{8, 16} {
		o.Settings.Bits = bits
		data, plan := printed(t, src, o, 2)
		if plan.Colour.Model != "cmyk" || plan.Colour.Conversion != order.ToStock || !plan.Colour.BlackPoint {
			t.Errorf("planned as %+v", plan.Colour)
		}
		name := filepath.Join(t.TempDir(), "inks.tif")
		if err := os.WriteFile(name, data, 0o644); err != nil {
			t.Fatal(err)
		}
		info := reference.Output(t, "tiffinfo", name)
		for _, want := range []string{"Photometric Interpretation: separated", "InkSet: 1", "NumberOfInks: 4", "Samples/Pixel: 4", fmt.Sprintf("Bits/Sample: %d", bits)} {
			if !strings.Contains(info, want) {
				t.Errorf("tiffinfo does not say %q:\n%s", want, info)
			}
		}
		if got := reference.Output(t, "vipsheader", name); !strings.Contains(got, "4 bands, cmyk") {
			t.Errorf("libvips reads %q", got)
		}
		reference.Output(t, "exiftool", "-q", "-b", "-icc_profile", "-w", "icc", name)
		if got, err := os.ReadFile(strings.TrimSuffix(name, "tif") + "icc"); err != nil || !bytes.Equal(got, o.Output.Profile.Bytes) {
			t.Errorf("the profile in the print is not the stock's byte for byte (%v)", err)
		}
	}
}

// A CMYK picture is scaled as RGB and converted back to CMYK, also to the profile that it
// already has.
func TestAPictureInThePapersOwnInksStaysInInks(t *testing.T) {
	o := ownPixels(t, order.Output{Profile: profileOf(t, reference.PressProfile(t)), Kind: order.ToStock, Intent: colour.Relative})
	inks, _ := printed(t, save(t, patterned(300, 200)), o, 2)
	file := filepath.Join(t.TempDir(), "inks.tif")
	if err := os.WriteFile(file, inks, 0o644); err != nil {
		t.Fatal(err)
	}
	src, err := photo.Open(file, photo.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	again, plan := printed(t, src, o, 2)
	if plan.Colour.Model != "cmyk" || plan.Colour.Conversion != order.ToStock {
		t.Errorf("planned as %+v", plan.Colour)
	}
	same := filepath.Join(t.TempDir(), "again.tif")
	if err := os.WriteFile(same, again, 0o644); err != nil {
		t.Fatal(err)
	}
	if got := reference.Output(t, "vipsheader", same); !strings.Contains(got, "300x200") || !strings.Contains(got, "4 bands, cmyk") {
		t.Errorf("libvips reads %q", got)
	}
}

func TestWhatAStockAsksOfColours(t *testing.T) {
	a98 := order.Output{Profile: colour.BuiltInA98(), Kind: order.ToWorkingSpace, Intent: colour.Relative, BlackPoint: true}
	paper := order.Output{Profile: profileOf(t, reference.PressProfile(t)), Kind: order.ToStock, Intent: colour.Absolute, BlackPoint: true}
	for _, c := range []struct {
		name              string
		change            func(*photo.Info)
		output            order.Output
		conversion, model string
		black             bool
	}{
		{"nothing: the picture's own profile is kept", func(*photo.Info) {}, order.Output{}, "none", "rgb", false},
		{"a working space", func(*photo.Info) {}, a98, order.ToWorkingSpace, "rgb", true},
		{"a working space that the picture is in already", func(i *photo.Info) { i.Profile = colour.A98Profile() }, a98, "none", "rgb", false},
		{"a working space, of a grey picture: grey in, grey out", func(i *photo.Info) { i.Model = photo.Grey }, a98, "none", "grey", false},
		{"a paper, of a grey picture", func(i *photo.Info) { i.Model = photo.Grey }, paper, order.ToStock, "cmyk", false},
		{"a paper, absolute: no black point compensation", func(*photo.Info) {}, paper, order.ToStock, "cmyk", false},
		{"inks, of a picture in inks", func(i *photo.Info) { i.Model = photo.CMYK }, paper, order.ToStock, "cmyk", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			info := &photo.Info{Format: "JPEG", Width: 3000, Height: 2000, Orientation: 1, Bits: 8, Model: photo.RGB}
			c.change(info)
			o := asked(t, "A5", nil)
			o.Output = c.output
			p := order.NewPlan(info, o)
			if p.Colour.Conversion != c.conversion || p.Colour.Model != c.model || p.Colour.BlackPoint != c.black {
				t.Errorf("planned as %+v", p.Colour)
			}
		})
	}
}

// A soft proof shows what the paper loses: a colour that no press reaches becomes duller,
// and the paper's white is not the screen's.
func TestASoftProofShowsThePaper(t *testing.T) {
	img := image.NewNRGBA64(image.Rect(0, 0, 300, 200))
	for i := range img.Pix {
		img.Pix[i] = 0xff
	}
	for y := range 100 {
		for x := range 300 {
			img.Pix[img.PixOffset(x, y)], img.Pix[img.PixOffset(x, y)+1] = 0, 0 // red off: cyan-green, top half
			img.Pix[img.PixOffset(x, y)+4], img.Pix[img.PixOffset(x, y)+5] = 0, 0
		}
	}
	src := save(t, img)
	o := ownPixels(t, order.Output{Profile: profileOf(t, reference.PressProfile(t)), Kind: order.ToStock, Intent: colour.Relative, BlackPoint: true})
	p := order.NewPlan(&src.Info, o)
	proofs, err := render.Preview(t.Context(), p.Preview(o, 300), src, p.Profiles, 2, render.OnWhite, render.OnPaper)
	if err != nil {
		t.Fatal(err)
	}
	white, paper := proofs[0], proofs[1]
	if c := white.RGBAAt(150, 50); c.G > 235 {
		t.Errorf("a green beyond the press is shown as %v", c)
	}
	if c := white.RGBAAt(150, 150); c.R < 253 || c.B < 253 {
		t.Errorf("on the screen's white, white is %v", c)
	}
	if c := paper.RGBAAt(150, 150); c.R > 245 || c.R < 220 {
		t.Errorf("on the paper's own white, white is %v", c)
	}
}
