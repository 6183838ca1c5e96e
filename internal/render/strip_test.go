package render_test

import (
	"image"
	"math"
	"os"
	"path/filepath"
	"testing"

	"sizewright/internal/config"
	"sizewright/internal/order"
	"sizewright/internal/render"
)

func TestARegionIsThePrintItself(t *testing.T) {
	src := save(t, patterned(301, 202))
	o := asked(t, "30x45mm", func(s *config.Settings) { lenient(s); s.Compression, s.BlurPX, s.Grain = "none", 0.7, 2 })
	p := order.NewPlan(&src.Info, o)
	whole := decode(t, carriedOut(t, p, src))
	r, err := render.New(p.Recipe(), src, p.Profiles)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []image.Rectangle{image.Rect(0, 0, 40, 30), image.Rect(101, 57, 333, 300), image.Rect(p.Print.Width-9, p.Print.Height-11, p.Print.Width, p.Print.Height)} {
		pix := r.Region(c.Min.X, c.Min.Y, c.Dx(), c.Dy())
		for i := range c.Dx() * c.Dy() {
			x, y := c.Min.X+i%c.Dx(), c.Min.Y+i/c.Dx()
			if want, got := rgbAt(whole, x, y), [3]uint32{uint32(pix[3*i]), uint32(pix[3*i+1]), uint32(pix[3*i+2])}; got != want {
				t.Fatalf("%v, at %d, %d: %v, in the print %v", c, x, y, got, want)
			}
		}
	}
}

// A4 in landscape, 297 x 210 mm with a margin of 12 mm: three columns with 5 mm between
// them are (273-10)/3 = 87.67 mm wide; two rows below a title of 4 mm, with 5 + 3.2 mm for
// each, are (186-4-16.4)/2 = 82.8 mm high.
func TestAStripShowsThePrintAtItsTrueScale(t *testing.T) {
	src := save(t, patterned(600, 400))
	measured, _ := order.Measure(src)
	var variants []render.Variant
	for _, amount := range []float64{0, 1, 2} {
		o := asked(t, "20x30cm", func(s *config.Settings) { lenient(s); s.PPI, s.OutputSharpening = 254, amount })
		p := order.NewPlan(&src.Info, o).WithMeasurement(measured, o)
		variants = append(variants, render.Variant{Label: "v", Size: "20x30cm", Sharpen: amount, Recipe: p.Recipe(), Profiles: p.Profiles})
	}
	places := []render.Place{{Name: "middle", X: 300, Y: 200}, {Name: "corner", X: 1, Y: 399}}
	s, err := render.NewStrip("marsh.jpg, 20x30cm lustre", "A4", 297, 210, places, variants)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Cells) != 6 || math.Abs(s.CellWidthMM-87.67) > 0.01 || math.Abs(s.CellHeightMM-82.8) > 0.01 || s.WidthMM != 297 {
		t.Fatalf("%d cells of %v x %v mm on %v x %v", len(s.Cells), s.CellWidthMM, s.CellHeightMM, s.WidthMM, s.HeightMM)
	}
	f, err := os.Create(filepath.Join(t.TempDir(), "strip.tif"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := s.WriteTIFF(f, src); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(f.Name())
	if err != nil {
		t.Fatal(err)
	}
	img := decode(t, data)
	if got := img.Bounds().Size(); got.X != int(s.WidthMM*10+0.5) || got.Y != int(s.HeightMM*10+0.5) {
		t.Errorf("the sheet is %v px", got)
	}
	// The title stands at 12 mm in letters of 4 mm; the last label ends within 5 mm of the margin.
	for _, part := range []image.Rectangle{image.Rect(120, 120, 600, 160), image.Rect(120, 1880, 600, 1980)} {
		if dark := darkIn(img, part); dark < 200 {
			t.Errorf("%v has %d dark pixels", part, dark)
		}
	}
	for i, c := range s.Cells {
		v := variants[i%len(variants)]
		r, err := render.New(v.Recipe, src, v.Profiles)
		if err != nil {
			t.Fatal(err)
		}
		pix := r.Region(c.X, c.Y, c.Width, c.Height)
		for _, i := range []int{0, c.Width - 1, c.Width*c.Height/2 + c.Width/3, c.Width*c.Height - 1} {
			if got, want := rgbAt(img, c.AtX+i%c.Width, c.AtY+i/c.Width), [3]uint32{uint32(pix[3*i]), uint32(pix[3*i+1]), uint32(pix[3*i+2])}; got != want {
				t.Errorf("%s: %v on the strip, %v in the print", c.Label, got, want)
			}
		}
	}
}

// darkIn counts the pixels of a part that are near black.
func darkIn(img image.Image, part image.Rectangle) (n int) {
	for y := part.Min.Y; y < part.Max.Y; y++ {
		for x := part.Min.X; x < part.Max.X; x++ {
			if p := rgbAt(img, x, y); p[0] < 8000 && p[1] < 8000 && p[2] < 8000 {
				n++
			}
		}
	}
	return n
}

// A picture with a dark corner, a smooth slope and a fine check in known quarters.
func TestStripPlacesAreWhereTheyWereMeasured(t *testing.T) {
	const n = 960
	plane := make([]float64, n*n)
	for i := range plane {
		x, y := i%n, i/n
		switch {
		case x < n/2 && y < n/2: // a fine check, top left
			plane[i] = 0.3 + 0.4*float64((x/2+y/2)%2)
		case x >= n/2 && y < n/2: // a slope, top right
			plane[i] = 0.2 + 0.7*float64(x-n/2)/(n/2)
		case x < n/2: // darkness, bottom left
			plane[i] = 0.02
		default:
			plane[i] = 0.6
		}
	}
	src := save(t, grey16(plane, n, n))
	_, spectrum := order.Measure(src)
	places := render.StripPlaces(src, spectrum, nil)
	want := map[string][2]bool{"detail": {false, false}, "gradient": {true, false}, "shadow": {false, true}} // right, below
	for _, p := range places {
		if got := [2]bool{p.X > n/2, p.Y > n/2}; got != want[p.Name] || p.Why == "" {
			t.Errorf("%+v", p)
		}
	}
	if len(places) != 3 {
		t.Errorf("%d places", len(places))
	}
}
