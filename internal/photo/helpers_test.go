package photo

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sizewright/internal/testkit/reference"
	"testing"
)

// run runs an outside program and returns what it printed.
func run(t testing.TB, name string, args ...string) []byte {
	t.Helper()
	var stderr bytes.Buffer
	cmd := exec.Command(reference.Tool(t, name), args...)
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s %q: %v\n%s", name, args, err, stderr.String())
	}
	return out
}

// marsh16 is a generated picture of 16 bits a channel: slow gradients, as in a
// sky, fine texture, as in grass, strong colours, and a different colour in
// each corner so that no two orientations look alike.
func marsh16(w, h int) *image.NRGBA64 {
	m := image.NewNRGBA64(image.Rect(0, 0, w, h))
	corner := func(x, y, n int) bool { return x < n && y < n }
	for y := range h {
		for x := range w {
			u, v := float64(x)/float64(w), float64(y)/float64(h)
			grass := 0.08 * math.Sin(1.7*float64(x)+0.3*float64(y)) * v
			c := [3]float64{
				0.15 + 0.7*u*u + grass,
				0.2 + 0.5*v + 0.2*math.Sin(6*u) + grass,
				0.75 - 0.6*v + 0.1*math.Cos(9*v*u) + grass,
			}
			n := min(w, h) / 4
			switch {
			case corner(x, y, n):
				c = [3]float64{0.8, 0.2, 0.2}
			case corner(w-1-x, y, n):
				c = [3]float64{0.2, 0.7, 0.3}
			case corner(x, h-1-y, n):
				c = [3]float64{0.2, 0.3, 0.8}
			}
			m.SetNRGBA64(x, y, color.NRGBA64{R: to16(c[0]), G: to16(c[1]), B: to16(c[2]), A: 0xffff})
		}
	}
	return m
}

func to16(v float64) uint16 { return uint16(math.Round(65535 * min(1, max(0, v)))) }

// marshFile writes the generated picture as a 16-bit PNG into dir.
func marshFile(t testing.TB, dir string, w, h int) string {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, marsh16(w, h)); err != nil {
		t.Fatal(err)
	}
	return writeFile(t, filepath.Join(dir, "marsh16.png"), b.Bytes())
}

func writeFile(t testing.TB, path string, b []byte) string {
	t.Helper()
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func readFile(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func open(t testing.TB, path string) *Photo {
	t.Helper()
	p, err := Open(path, DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	if t, ok := t.(*testing.T); ok {
		sameShared(t, path, p)
	}
	return p
}

// pixels reads the whole picture, interleaved: sample c of pixel (x, y) is at
// (y*Width+x)*Channels+c.
func pixels(p *Photo) []float32 {
	n := p.Channels()
	row := newRow(p)
	all := make([]float32, 0, p.Width*p.Height*n)
	for y := range p.Height {
		p.Row(y, row)
		for x := range p.Width {
			for c := range n {
				all = append(all, row[c][x])
			}
		}
	}
	return all
}

func newRow(p *Photo) [][]float32 {
	row := make([][]float32, p.Channels())
	for c := range row {
		row[c] = make([]float32, p.Width)
	}
	return row
}

// magick decodes a file by ImageMagick to samples from 0 to 1, interleaved as
// pixels does, in the picture's model and depth.
func magick(t testing.TB, p *Photo, path string, args ...string) []float32 {
	t.Helper()
	layout := map[Model]string{Grey: "gray:-", RGB: "rgb:-", CMYK: "cmyk:-"}[p.Model]
	depth := map[int]string{8: "8", 16: "16"}[p.Bits]
	args = append([]string{path}, append(args, "-endian", "MSB", "-depth", depth, layout)...)
	return samples(run(t, "convert", args...), p.Bits)
}

// samples reads big-endian whole numbers as fractions of the largest.
func samples(raw []byte, bits int) []float32 {
	if bits == 8 {
		s := make([]float32, len(raw))
		for i, v := range raw {
			s[i] = float32(v) / 255
		}
		return s
	}
	s := make([]float32, len(raw)/2)
	for i := range s {
		s[i] = float32(binary.BigEndian.Uint16(raw[2*i:])) / 65535
	}
	return s
}

// difference returns the largest and the mean absolute difference.
func difference(t testing.TB, a, b []float32) (largest, mean float64) {
	t.Helper()
	if len(a) != len(b) || len(a) == 0 {
		t.Fatalf("%d samples against %d", len(a), len(b))
	}
	for i := range a {
		d := math.Abs(float64(a[i]) - float64(b[i]))
		largest, mean = max(largest, d), mean+d
	}
	return largest, mean / float64(len(a))
}

// codes lists the cautions' codes.
func codes(in *Info) []string {
	var c []string
	for _, caution := range in.Cautions {
		c = append(c, caution.Code)
	}
	return c
}
