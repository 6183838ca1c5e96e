package demo

import (
	"bytes"
	"image"
	"image/color"
	_ "image/jpeg"
	_ "image/png"
	"runtime"
	"slices"
	"strings"
	"testing"

	_ "golang.org/x/image/tiff"

	"sizewright/internal/colour"
)

func TestTheSetIsWhatAPrintRoomMeets(t *testing.T) {
	folders := []string{"A4", "A3", "A2", "24x36in", "40x60in"} // as `sizewright init` lays them out
	seen := map[string]bool{}
	var formats []string
	for _, p := range Pictures() {
		if !slices.Contains(folders, p.Folder) {
			t.Errorf("%s is for %q, which a new studio lacks", p.Name, p.Folder)
		}
		if seen[p.Name] || p.Title == "" || p.Shows == "" {
			t.Errorf("%s is named twice, or says nothing of itself", p.Name)
		}
		seen[p.Name] = true
		formats = append(formats, p.Name[strings.LastIndex(p.Name, "."):])
		if pixels := p.Width * p.Height; p.Folder != "40x60in" && (pixels < 6e6 || pixels > 26e6) {
			t.Errorf("%s has %.1f megapixels; the set runs from 6 to 26", p.Name, float64(pixels)/1e6)
		}
	}
	for _, suffix := range []string{".jpg", ".tif", ".png"} {
		if !slices.Contains(formats, suffix) {
			t.Errorf("no picture is a %s", suffix)
		}
	}
}

func TestEachFileHoldsTheStoredSizeAndDepth(t *testing.T) {
	deep := func(c color.Model) bool { return c == color.RGBA64Model || c == color.NRGBA64Model }
	for _, p := range Pictures() {
		if p.cut {
			continue
		}
		t.Run(p.Name, func(t *testing.T) {
			img := looked(t, p)
			if got, want := img.Bounds().Size(), (image.Point{p.Width / 16, p.Height / 16}); got != want {
				t.Errorf("the file holds %v pixels, not %v", got, want)
			}
			if got := deep(img.ColorModel()); got != (p.format == deepTIFF || p.format == deepPNG) {
				t.Errorf("16 bits a sample: %v", got)
			}
			if got := img.ColorModel() == color.GrayModel; got != (p.format == jpegGrey) {
				t.Errorf("one channel: %v", got)
			}
		})
	}
}

func TestAPictureIsTheSameBytesOnOneCoreAndOnMany(t *testing.T) {
	for _, p := range Pictures() {
		t.Run(p.Name, func(t *testing.T) {
			many := fresh(t, p, 16)
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
			one := fresh(t, p, 16)
			if !bytes.Equal(one, many) {
				t.Errorf("%d bytes on one core differ from %d on many", len(one), len(many))
			}
		})
	}
}

func TestTheDamagedCopyCannotBeReadToItsEnd(t *testing.T) {
	p := named(t, "evening-copy-cut-short.jpg")
	const by = 6 // smaller, and the profile would be most of the file
	data := fresh(t, p, by)
	if config, _, err := image.DecodeConfig(bytes.NewReader(data)); err != nil || config.Width != p.Width/by {
		t.Errorf("its header reads %v wide, %v; a copy cut short keeps its beginning", config.Width, err)
	}
	if _, _, err := image.Decode(bytes.NewReader(data)); err == nil {
		t.Error("it decodes")
	}
	p.cut = false
	decoded(t, fresh(t, p, by)) // the same picture uncut is sound
}

func TestTheTelephoneCropIsTooSmallForItsFolder(t *testing.T) {
	p := named(t, "gull-tracks-telephone.jpg")
	const longSide, least = 60.0, 100.0 // inches of a 40x60 in print; the least ppi any print is made at
	if ppi := float64(p.Width) / longSide; p.Folder != "40x60in" || ppi >= least {
		t.Errorf("%d pixels in %s are %.0f ppi", p.Width, p.Folder, ppi)
	}
}

func TestTheStillLifeIsMostlyShadowWithDetailInIt(t *testing.T) {
	img := looked(t, named(t, "reed-and-whelk.png"))
	dark, levels, size := 0, map[uint32]bool{}, img.Bounds().Size()
	for y := range size.Y {
		for x := range size.X {
			if _, g, _, _ := img.At(x, y).RGBA(); g < 65535/5 {
				dark++
				levels[g] = true
			}
		}
	}
	if share := float64(dark) / float64(size.X*size.Y); share < 0.75 {
		t.Errorf("%.0f %% of it is shadow", 100*share)
	}
	if len(levels) < 2000 {
		t.Errorf("its shadows have %d levels of 16 bits; 8 bits would have 51", len(levels))
	}
}

func TestTheSamphireNeedsMoreThanSRGB(t *testing.T) {
	// At 1/16 its stems are finer than pixels and their colours mix.
	img := decoded(t, fresh(t, named(t, "samphire-in-september.tif"), 4))
	toSRGB := solver(colour.SRGB.Matrix())
	a98 := colour.A98.Matrix()
	outside, size := 0, img.Bounds().Size()
	for y := range size.Y {
		for x := range size.X {
			r, g, b, _ := img.At(x, y).RGBA()
			light := [3]float64{colour.A98.Decode(float64(r) / 65535), colour.A98.Decode(float64(g) / 65535), colour.A98.Decode(float64(b) / 65535)}
			var xyz [3]float64
			for i := range xyz {
				xyz[i] = a98[i][0]*light[0] + a98[i][1]*light[1] + a98[i][2]*light[2]
			}
			if s := toSRGB(xyz); min(s[0], s[1], s[2]) < -0.002 || max(s[0], s[1], s[2]) > 1.002 {
				outside++
			}
		}
	}
	if share := float64(outside) / float64(size.X*size.Y); share < 0.03 {
		t.Errorf("%.1f %% of it lies outside sRGB", 100*share)
	}
}

// solver returns x of m·x = y, by Cramer's rule.
func solver(m [3][3]float64) func(y [3]float64) [3]float64 {
	det := func(m [3][3]float64) float64 {
		return m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) + m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
	}
	return func(y [3]float64) (x [3]float64) {
		for j := range x {
			with := m
			for i := range y {
				with[i][j] = y[i]
			}
			x[j] = det(with) / det(m)
		}
		return x
	}
}

func TestTheUprightPictureIsStoredLyingDown(t *testing.T) {
	p := named(t, "channel-stakes.jpg")
	if p.Width <= p.Height || p.full().orientation != 6 {
		t.Fatalf("stored %dx%d with orientation %d", p.Width, p.Height, p.full().orientation)
	}
	// EXIF orientation 6: the stored first row is shown at the right, the first column at the top. The top of
	// this picture is blue sky, and there is none in the glow of its horizon half-way down.
	img := looked(t, p)
	size := img.Bounds().Size()
	blueness := func(column int) (sum int) {
		for y := range size.Y {
			r, _, b, _ := img.At(column, y).RGBA()
			sum += int(b>>8) - int(r>>8)
		}
		return sum / size.Y
	}
	if top, glow := blueness(2), blueness(size.X*44/100); top < 20 || glow > 0 {
		t.Errorf("the top of the sky is %d bluer than red, the horizon %d", top, glow)
	}
}

func BenchmarkPaint(b *testing.B) {
	for _, p := range Pictures() {
		b.Run(p.Name, func(b *testing.B) {
			small := p.Reduced(4)
			for b.Loop() {
				if _, err := small.paint(b.Context()); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(small.Width*small.Height), "ns/px")
		})
	}
}
