package render_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"image"
	"image/color"
	"math"
	"os"
	"path/filepath"
	"testing"

	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/learned"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/render"
	"sizewright/internal/testkit/reference"
)

func TestAPrintIsTheSameBytesWithAnyNumberOfWorkers(t *testing.T) {
	src := save(t, patterned(301, 202))
	for _, c := range []struct {
		folder string
		change func(*config.Settings)
	}{
		{"30x45mm", lenient},
		{"30x45mm", func(s *config.Settings) { lenient(s); s.Bits = 8; s.Compression = "lzw" }},
		{"15x20mm", func(s *config.Settings) { lenient(s); s.PPI = 150; s.Compression = "none" }},
	} {
		one, _ := printed(t, src, asked(t, c.folder, c.change), 1)
		for _, n := range []int{2, 4, 7} {
			many, _ := printed(t, src, asked(t, c.folder, c.change), n)
			if sha256.Sum256(one) != sha256.Sum256(many) {
				t.Errorf("%s: %d workers make another file than 1", c.folder, n)
			}
		}
	}
}

// scripts/test.sh runs this with and without vector instructions, and for arm64, and
// compares the digests.
func TestTheDigestOfAPrint(t *testing.T) {
	plain := func(s *config.Settings) { lenient(s); s.Compression, s.BlurPX = "none", 0.7 }
	grainy := func(s *config.Settings) { plain(s); s.Grain = 2 }
	working := order.Output{Profile: profileOf(t, colour.ROMMProfile()), Kind: order.ToWorkingSpace, Intent: colour.Relative, BlackPoint: true}
	colours, grey := save(t, patterned(301, 202)), save(t, patternedGrey(301, 202))
	logDigests(t, []digested{
		{"enlarged", colours, "30x45mm", grainy, order.Output{}},
		{"reduced", colours, "10x15mm", grainy, order.Output{}},
		{"without grain, 8 bits", colours, "30x45mm", func(s *config.Settings) { plain(s); s.Bits = 8 }, order.Output{}},
		{"sharpened for canvas", colours, "30x45mm canvas", plain, order.Output{}},
		{"at 720 ppi", colours, "20x30mm", func(s *config.Settings) { plain(s); s.PPI = 720 }, order.Output{}},
		{"grey", grey, "30x45mm", grainy, order.Output{}},
		{"grey reduced", grey, "10x15mm", grainy, order.Output{}},
		{"into a working space", colours, "30x45mm", grainy, working},
		{"reduced into a working space", colours, "10x15mm", grainy, working},
		{"grey to inks", grey, "30x45mm", grainy, inks(t, colour.Relative)},
	})
	small := save(t, patterned(36, 24)) // a network takes long under emulation
	p := order.NewPlan(&small.Info, asked(t, "10x15mm", func(s *config.Settings) { predicts(s); s.PPI = 180 }))
	p.Scale.Learned = render.Learned{Weights: learned.For(2).Digest, Share: 1}
	t.Logf("sha256 %x with what a network predicts", sha256.Sum256(carriedOut(t, p, small)))
}

// The same of colours made inks. Their table of 300,000 takes 20 s under emulation, where
// colour.TestTheDigestOfConversions makes smaller ones.
func TestTheDigestOfAPrintInInks(t *testing.T) {
	plain := func(s *config.Settings) { lenient(s); s.Compression, s.BlurPX = "none", 0.7 }
	grainy := func(s *config.Settings) { plain(s); s.Grain = 2 }
	colours := save(t, patterned(301, 202))
	logDigests(t, []digested{
		{"colours to inks", colours, "30x45mm", grainy, inks(t, colour.Relative)},
		{"colours to inks, reduced", colours, "10x15mm", grainy, inks(t, colour.Relative)},
		{"colours to inks, perceptual", colours, "10x15mm", plain, inks(t, colour.Perceptual)},
	})
}

// digested is an order whose print's digest is compared.
type digested struct {
	name   string
	src    *photo.Photo
	folder string
	change func(*config.Settings)
	output order.Output
}

func logDigests(t *testing.T, orders []digested) {
	t.Helper()
	for _, c := range orders {
		o := asked(t, c.folder, c.change)
		o.Output = c.output
		data, p := printed(t, c.src, o, 2)
		t.Logf("sha256 %x %s, %s", sha256.Sum256(data), c.name, p.Scale.Kernel)
	}
}

// inks is a press, with black point compensation where the intent leaves it to the order.
func inks(t *testing.T, intent colour.Intent) order.Output {
	t.Helper()
	return order.Output{Profile: profileOf(t, undated(reference.PressProfile(t))), Kind: order.ToStock, Intent: intent, BlackPoint: intent == colour.Relative}
}

// undated is the profile with a fixed time of creation (ICC.1:2022, 7.2.8).
func undated(profile []byte) []byte {
	p := bytes.Clone(profile)
	copy(p[24:36], []byte{2000 >> 8, 2000 & 0xff, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0})
	return p
}

func TestAPrintIsTheSameWhereverItIsCut(t *testing.T) {
	src := save(t, patterned(301, 202))
	o := asked(t, "30x45mm", func(s *config.Settings) { lenient(s); s.Compression, s.BlurPX, s.Grain = "none", 0.7, 2 })
	var want image.Image
	for _, cut := range [][2]int{{2000, 4096}, {1, 512}, {16, 100}, {37, 31}, {2000, 1}} {
		p := order.NewPlan(&src.Info, o)
		p.File.BandRows = cut[0]
		r, err := render.New(p.Recipe(), src, p.Profiles)
		if err != nil {
			t.Fatal(err)
		}
		r.CutInto(cut[1])
		got := decode(t, written(t, r))
		if want == nil {
			want = got
			continue
		}
		if d := largestDifference(want, got); d != 0 {
			t.Errorf("bands of %d rows in tiles of %d columns differ from one by up to %d of 65535", cut[0], cut[1], d)
		}
	}
}

func largestDifference(a, b image.Image) (worst int) {
	for y := range a.Bounds().Dy() {
		for x := range a.Bounds().Dx() {
			r0, g0, b0, _ := a.At(x, y).RGBA()
			r1, g1, b1, _ := b.At(x, y).RGBA()
			for _, d := range []int{int(r0) - int(r1), int(g0) - int(g1), int(b0) - int(b1)} {
				worst = max(worst, d, -d)
			}
		}
	}
	return worst
}

func TestAConstantPictureStaysConstant(t *testing.T) {
	for _, v := range []color.NRGBA64{{0, 0, 0, 65535}, {65535, 65535, 65535, 65535}, {32896, 32896, 32896, 65535}, {257 * 12, 257 * 200, 257 * 77, 65535}} {
		img := image.NewNRGBA64(image.Rect(0, 0, 150, 100))
		for y := range 100 {
			for x := range 150 {
				img.SetNRGBA64(x, y, v)
			}
		}
		src := save(t, img)
		for _, folder := range []string{"20x30mm", "10x10mm"} {
			for _, bits := range []int{16, 8} {
				data, p := printed(t, src, asked(t, folder, func(s *config.Settings) { lenient(s); s.Bits = bits; s.PPI = 200 }), 2)
				got := decode(t, data)
				// A reduction converts to linear light and back by tables: 1 part in
				// 10,000 is allowed there, and nothing elsewhere.
				allow := 0
				if p.Scale.Light == "linear" {
					allow = 7
				}
				if bits == 8 {
					allow = allow * 257
				}
				for y := range got.Bounds().Dy() {
					for x := range got.Bounds().Dx() {
						r, g, b, _ := got.At(x, y).RGBA()
						if off(r, v.R) > allow || off(g, v.G) > allow || off(b, v.B) > allow {
							t.Fatalf("%v in %s at %d bits became %d %d %d at %d, %d", v, folder, bits, r, g, b, x, y)
						}
					}
				}
			}
		}
	}
}

func off(a uint32, b uint16) int { return max(int(a)-int(b), int(b)-int(a)) }

func TestAPictureOfThePrintsOwnPixelsIsKept(t *testing.T) {
	img := patterned(300, 200)
	src := save(t, img)
	o := asked(t, "2x3in", func(s *config.Settings) { lenient(s); s.PPI = 100; s.OutputSharpening = 0 })
	data, p := printed(t, src, o, 2)
	if p.Scale.Kernel != "none" {
		t.Fatalf("planned as %+v", p.Scale)
	}
	if d := largestDifference(img, decode(t, data)); d != 0 {
		t.Errorf("values moved by up to %d of 65535", d)
	}
}

func TestGreyInGreyOut(t *testing.T) {
	img := image.NewGray16(image.Rect(0, 0, 120, 80))
	for y := range 80 {
		for x := range 120 {
			img.SetGray16(x, y, color.Gray16{sixteen(float64(x*y%1000) / 1000)})
		}
	}
	data, p := printed(t, save(t, img), asked(t, "30x45mm", lenient), 2)
	got := decode(t, data)
	if _, ok := got.(*image.Gray16); !ok {
		t.Errorf("the print is %T, want 16-bit grey", got)
	}
	if p.Picture.Model != "grey" {
		t.Errorf("planned as %q", p.Picture.Model)
	}
}

// A one-pixel check of black and white reflects half the light. Reduced, it must become
// the grey that does the same: 0.5 linear is 0.7354 in sRGB (IEC 61966-2-1).
func TestReducingKeepsTheLight(t *testing.T) {
	img := image.NewGray16(image.Rect(0, 0, 400, 400))
	for y := range 400 {
		for x := range 400 {
			if (x+y)%2 == 0 {
				img.SetGray16(x, y, color.Gray16{65535})
			}
		}
	}
	data, _ := printed(t, save(t, img), asked(t, "10x10mm", func(s *config.Settings) { lenient(s); s.PPI = 254; s.OutputSharpening = 0 }), 2)
	got := decode(t, data).(*image.Gray16)
	if v := float64(got.Gray16At(50, 50).Y) / 65535; math.Abs(v-0.7354) > 0.002 {
		t.Errorf("the check became %.4f, want 0.7354", v)
	}
}

func TestEightBitsAreDitheredAroundTheTrueValue(t *testing.T) {
	img := image.NewGray16(image.Rect(0, 0, 300, 300))
	want := 100.37 / 255
	for i := range 300 * 300 {
		img.SetGray16(i%300, i/300, color.Gray16{sixteen(want)})
	}
	data, _ := printed(t, save(t, img), asked(t, "3x3in", func(s *config.Settings) { lenient(s); s.PPI = 100; s.Bits = 8 }), 1)
	got := decode(t, data).(*image.Gray)
	sum, seen := 0.0, map[uint8]bool{}
	for _, v := range got.Pix {
		sum += float64(v)
		seen[v] = true
	}
	if mean := sum / float64(len(got.Pix)); math.Abs(mean-want*255) > 0.01 {
		t.Errorf("the mean is %.3f, want %.3f", mean, want*255)
	}
	if len(seen) != 2 || !seen[100] || !seen[101] {
		t.Errorf("values %v, want 100 and 101 only", seen)
	}
}

func TestAPreviewIsTheWholePrintSmall(t *testing.T) {
	src := save(t, patterned(301, 202))
	o := asked(t, "30x45mm", lenient)
	p := order.NewPlan(&src.Info, o)
	images, err := render.Preview(t.Context(), p.Preview(o, 120), src, p.Profiles, 2, render.OnWhite)
	if err != nil {
		t.Fatal(err)
	}
	if got := images[0].Bounds().Size(); got != (image.Point{120, 80}) {
		t.Errorf("preview of %d x %d is %v", p.Print.Width, p.Print.Height, got)
	}
}

func TestACancelledPrintEndsWithTheReason(t *testing.T) {
	src := save(t, patterned(301, 202))
	o := asked(t, "60x90mm", lenient)
	p := order.NewPlan(&src.Info, o)
	ctx, cancel := context.WithCancel(t.Context())
	f, err := os.Create(filepath.Join(t.TempDir(), "p.tif"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	_, err = render.WriteTIFF(ctx, f, p.Recipe(), src, p.Profiles, render.Options{Workers: 2, Progress: func(done, total int) {
		if done == 2 {
			cancel()
		}
	}})
	if err == nil || ctx.Err() == nil {
		t.Errorf("WriteTIFF after a cancel says %v", err)
	}
}
