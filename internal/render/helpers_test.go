package render_test

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	xtiff "golang.org/x/image/tiff"

	"sizewright/internal/config"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
)

// asked returns what a drop folder of this name asks for by default, with changes.
func asked(t testing.TB, folder string, change func(*config.Settings)) order.Order {
	t.Helper()
	size, stock, err := printsize.Parse(folder)
	if err != nil {
		t.Fatal(err)
	}
	s := config.Default().Settings(folder, stock)
	if change != nil {
		change(&s)
	}
	return order.Order{Size: size, Stock: stock, Settings: s}
}

// save writes an image as PNG and opens it as a photograph.
func save(t testing.TB, img image.Image) *photo.Photo {
	t.Helper()
	var buf bytes.Buffer
	if err := png.Encode(&buf, img); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "picture.png")
	if err := os.WriteFile(name, buf.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	p, err := photo.Open(name, photo.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// patterned returns a picture with slopes, edges, fine texture and a dark corner.
func patterned(w, h int) *image.NRGBA64 {
	img := image.NewNRGBA64(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			r := 0.5 + 0.5*math.Sin(float64(x*y)/97)
			g := float64(x) / float64(w)
			b := 0.1
			if (x/7+y/5)%2 == 0 {
				b = 0.9
			}
			if x < w/5 && y < h/5 {
				r, g, b = r/50, g/50, b/50
			}
			img.SetNRGBA64(x, y, color.NRGBA64{sixteen(r), sixteen(g), sixteen(b), 65535})
		}
	}
	return img
}

func sixteen(v float64) uint16 { return uint16(math.Round(65535 * v)) }

// printed makes the print of an order and returns its file.
func printed(t testing.TB, src *photo.Photo, o order.Order, workers int) ([]byte, *order.Plan) {
	t.Helper()
	p := order.NewPlan(&src.Info, o)
	return carriedOutBy(t, p, src, workers), p
}

func carriedOut(t testing.TB, p *order.Plan, src *photo.Photo) []byte {
	t.Helper()
	return carriedOutBy(t, p, src, 2)
}

func carriedOutBy(t testing.TB, p *order.Plan, src *photo.Photo, workers int) []byte {
	t.Helper()
	if p.Refusal != nil {
		t.Fatal(p.Refusal.Text)
	}
	data := tiffOf(t, p.Recipe(), src, p.Profiles, workers)
	if int64(len(data)) > p.File.MaxBytes {
		t.Errorf("the file has %d bytes, the plan said %d at most", len(data), p.File.MaxBytes)
	}
	return data
}

// tiffOf returns the file of a recipe.
func tiffOf(t testing.TB, recipe render.Recipe, src *photo.Photo, p render.Profiles, workers int) []byte {
	t.Helper()
	return fileOf(t, func(f *os.File) error {
		_, err := render.WriteTIFF(t.Context(), f, recipe, src, p, render.Options{Workers: workers})
		return err
	})
}

func written(t testing.TB, r *render.Renderer) []byte {
	t.Helper()
	return fileOf(t, func(f *os.File) error { return r.Write(t.Context(), f, render.Options{Workers: 2}) })
}

// fileOf returns what write writes.
func fileOf(t testing.TB, write func(*os.File) error) []byte {
	t.Helper()
	f, err := os.Create(filepath.Join(t.TempDir(), "print.tif"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := write(f); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(f.Name())
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func decode(t testing.TB, data []byte) image.Image {
	t.Helper()
	img, err := xtiff.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// lenient allows small test pictures to be printed.
func lenient(s *config.Settings) { s.MinimumPPI, s.CautionPPI = 1, 1 }

// patternedGrey is the mean of patterned's red and blue.
func patternedGrey(w, h int) *image.Gray16 {
	img, of := image.NewGray16(image.Rect(0, 0, w, h)), patterned(w, h)
	for y := range h {
		for x := range w {
			p := of.NRGBA64At(x, y)
			img.SetGray16(x, y, color.Gray16{p.R/2 + p.B/2})
		}
	}
	return img
}
