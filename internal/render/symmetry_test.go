package render_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"sizewright/internal/config"
	"sizewright/internal/detail"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
	"sizewright/internal/testkit/reference"
)

// orientation is how a picture is turned or mirrored: where pixel x, y of one of w x h goes, and whether
// its sides change places. exif is its EXIF orientation.
type orientation struct {
	exif  int
	turns bool
	to    func(x, y, w, h int) (int, int)
}

// orientations are all eight (EXIF 2.32, 4.6.4, Orientation), as what happens to a
// stored pixel when it is shown.
var orientations = map[string]orientation{
	"mirrored":             {2, false, func(x, y, w, h int) (int, int) { return w - 1 - x, y }},
	"half a turn":          {3, false, func(x, y, w, h int) (int, int) { return w - 1 - x, h - 1 - y }},
	"upended":              {4, false, func(x, y, w, h int) (int, int) { return x, h - 1 - y }},
	"transposed":           {5, true, func(x, y, w, h int) (int, int) { return y, x }},
	"a quarter turn right": {6, true, func(x, y, w, h int) (int, int) { return h - 1 - y, x }},
	"transversed":          {7, true, func(x, y, w, h int) (int, int) { return h - 1 - y, w - 1 - x }},
	"a quarter turn left":  {8, true, func(x, y, w, h int) (int, int) { return y, w - 1 - x }},
}

func (l orientation) sides(w, h int) (int, int) {
	if l.turns {
		return h, w
	}
	return w, h
}

// busy has strong edges at most angles, thin lines, noise and flat areas: everything that
// the halo limit treats differently.
func busy(w, h int) *image.NRGBA64 {
	r := rand.New(rand.NewPCG(uint64(w), uint64(h)))
	img := image.NewNRGBA64(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			fx, fy := float64(x)-0.4*float64(w), float64(y)-0.55*float64(h)
			v := 0.2
			if math.Hypot(fx, fy) < 0.35*float64(h) {
				v = 0.8
			}
			if (3*x+2*y)%17 == 0 || x%11 == 3 && y > h/2 {
				v = 1 - v
			}
			if x > 2*w/3 {
				v += 0.3 * (r.Float64() - 0.5)
			}
			green := min(max(v*(0.6+0.4*math.Sin(float64(x-y)/3)), 0), 1)
			img.SetNRGBA64(x, y, color.NRGBA64{sixteen(v), sixteen(green), sixteen(1 - v), 65535})
		}
	}
	return img
}

func reoriented(img *image.NRGBA64, l orientation) *image.NRGBA64 {
	w, h := img.Bounds().Dx(), img.Bounds().Dy()
	tw, th := l.sides(w, h)
	out := image.NewNRGBA64(image.Rect(0, 0, tw, th))
	for y := range h {
		for x := range w {
			tx, ty := l.to(x, y, w, h)
			out.SetNRGBA64(tx, ty, img.NRGBA64At(x, y))
		}
	}
	return out
}

// tiny is [pixels] for prints smaller than any size that a folder can name.
func tiny(t *testing.T, w, h int, change func(*config.Settings)) order.Order {
	t.Helper()
	o := pixels(t, 360, 360, 360, change)
	o.Size = printsize.Size{Name: "tiny", WidthMM: float64(w) / 360 * 25.4, HeightMM: float64(h) / 360 * 25.4}
	return o
}

// inFull returns the print's samples, w x h pixels, with all stages of sharpening that
// the scale allows.
func inFull(t *testing.T, src *photo.Photo, w, h int, change func(*config.Settings)) []uint16 {
	t.Helper()
	o := tiny(t, w, h, change)
	m := detail.Measurement{Noise: 0.004, NoiseDark: 0.006, Blur: 0.7, Edges: 300}
	p := order.NewPlan(&src.Info, o).WithMeasurement(order.Measured{Measurement: m}, o)
	if p.Print.Width != w || p.Print.Height != h {
		t.Fatalf("planned as %d x %d px, want %d x %d", p.Print.Width, p.Print.Height, w, h)
	}
	r, err := render.New(p.Recipe(), src, p.Profiles)
	if err != nil {
		t.Fatal(err)
	}
	return r.Region(0, 0, w, h)
}

// differs returns the largest difference between two prints of three channels and
// w x h pixels, the second in another orientation than the first.
func differs(one, other []uint16, l orientation, w, h int) (worst int) {
	tw, _ := l.sides(w, h)
	for y := range h {
		for x := range w {
			tx, ty := l.to(x, y, w, h)
			for c := range 3 {
				d := int(one[3*(y*w+x)+c]) - int(other[3*(ty*tw+tx)+c])
				worst = max(worst, d, -d)
			}
		}
	}
	return worst
}

// mirrorTolerance is the difference allowed: float32 sums run in the other order.
const mirrorTolerance = 2

// The print of a mirror image is the mirror image of the print, and so for all eight
// orientations, at scales whose pixels fall on the picture's own, between them and
// anywhere.
func TestAPrintIsTheSameHoweverThePictureLies(t *testing.T) {
	type scale struct{ times, by int }
	for _, size := range []image.Point{{60, 36}, {45, 27}, {36, 36}} {
		img := busy(size.X, size.Y)
		src := save(t, img)
		for _, s := range []scale{{1, 1}, {2, 1}, {3, 1}, {4, 1}, {3, 2}, {5, 3}, {19, 9}, {2, 3}, {1, 2}, {1, 3}} {
			if size.X%s.by != 0 || size.Y%s.by != 0 || size.X == size.Y && s.times != 3 && s.times != 5 {
				continue // a square takes fewer
			}
			kernels := []string{"lanczos3"}
			if size.X == 45 && (s == scale{3, 1} || s == scale{2, 3}) {
				kernels = config.Kernels
			}
			w, h := size.X*s.times/s.by, size.Y*s.times/s.by
			for _, k := range kernels {
				change := func(set *config.Settings) { set.Kernel, set.Surface = k, "canvas" }
				want := inFull(t, src, w, h, change)
				for _, name := range []string{"mirrored", "upended", "transposed", "a quarter turn right"} {
					l := orientations[name]
					tw, th := l.sides(w, h)
					if d := differs(want, inFull(t, save(t, reoriented(img, l)), tw, th, change), l, w, h); d > mirrorTolerance {
						t.Errorf("%v px x %d/%d, %s: %s, the print differs by %d of 65535", size, s.times, s.by, k, name, d)
					}
				}
			}
		}
	}
}

// A crop's edges fall inside pixels. The picture has eight bits, so that the source is a
// plane of bytes.
func TestAFilledPrintIsTheSameHoweverThePictureLies(t *testing.T) {
	img := busy(60, 37)
	src := save(t, img)
	fill := func(s *config.Settings) { s.Fit = config.FitFill }
	for _, p := range []image.Point{{120, 111}, {180, 90}, {150, 111}} {
		want := inFull(t, src, p.X, p.Y, fill)
		for name, l := range orientations {
			tw, th := l.sides(p.X, p.Y)
			if d := differs(want, inFull(t, save(t, reoriented(img, l)), tw, th, fill), l, p.X, p.Y); d > mirrorTolerance {
				t.Errorf("filling %v: %s, the print differs by %d of 65535", p, name, d)
			}
		}
	}
}

// A JPEG's coarse chroma has a siting, and EXIF's orientation turns the same planes in
// all eight ways, with the samples beyond an odd edge.
func TestAJPEGsPrintIsTheSameHoweverItLies(t *testing.T) {
	dir := t.TempDir()
	for _, size := range []image.Point{{32, 24}, {33, 21}} {
		in := filepath.Join(dir, "in.png")
		f, err := os.Create(in)
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(png.Encode(f, busy(size.X, size.Y)), f.Close()); err != nil {
			t.Fatal(err)
		}
		for _, sampling := range []string{"1x1", "2x1", "2x2"} {
			file := filepath.Join(dir, "stored.jpg")
			reference.Output(t, "convert", in, "-sampling-factor", sampling, "-quality", "90", file)
			stored, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			for _, times := range []float64{1, 3, 7. / 3, 1. / 3} {
				w, h := int(math.Round(float64(size.X)*times)), int(math.Round(float64(size.Y)*times))
				want := inFull(t, oriented(t, dir, stored, 1), w, h, nil)
				for name, l := range orientations {
					tw, th := l.sides(w, h)
					if d := differs(want, inFull(t, oriented(t, dir, stored, l.exif), tw, th, nil), l, w, h); d > mirrorTolerance {
						t.Errorf("%v px, sampled %s, x %.3g: %s, the print differs by %d of 65535", size, sampling, times, name, d)
					}
				}
			}
		}
	}
}

// oriented opens a JPEG with an EXIF segment that gives only its orientation.
func oriented(t *testing.T, dir string, stored []byte, orientation int) *photo.Photo {
	t.Helper()
	var exif bytes.Buffer
	exif.WriteString("Exif\x00\x00MM\x00\x2a")
	// The directory at 8: one entry, tag 0x0112, SHORT, one value; no other directory.
	for _, v := range []any{uint32(8), uint16(1), uint16(0x0112), uint16(3), uint32(1), uint16(orientation), uint16(0), uint32(0)} {
		if err := binary.Write(&exif, binary.BigEndian, v); err != nil {
			t.Fatal(err)
		}
	}
	length := binary.BigEndian.AppendUint16(nil, uint16(exif.Len()+2))
	data := bytes.Join([][]byte{stored[:2], {0xFF, 0xE1}, length, exif.Bytes(), stored[2:]}, nil)
	name := filepath.Join(dir, fmt.Sprintf("orientation%d.jpg", orientation))
	if err := os.WriteFile(name, data, 0o644); err != nil {
		t.Fatal(err)
	}
	p, err := photo.Open(name, photo.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	if p.Orientation != orientation {
		t.Fatalf("its orientation reads as %d, want %d", p.Orientation, orientation)
	}
	return p
}
