package photo

import (
	"bytes"
	"image/jpeg"
	"path/filepath"
	"testing"
)

// benchFiles are six megapixels each: JPEG with chroma whole and quartered,
// upright and to be turned, and 16 bits.
var benchFiles = []struct {
	name string
	args []string
	turn bool
}{
	{"444.jpg", []string{"-depth", "8", "-quality", "95", "-sampling-factor", "1x1"}, false},
	{"420.jpg", []string{"-depth", "8", "-quality", "92", "-sampling-factor", "2x2"}, false},
	{"420turned.jpg", []string{"-depth", "8", "-quality", "92", "-sampling-factor", "2x2"}, true},
	{"progressive.jpg", []string{"-depth", "8", "-quality", "92", "-sampling-factor", "2x2", "-interlace", "JPEG"}, false},
	{"rgb16zip.tif", []string{"-depth", "16", "-compress", "Zip"}, false},
	{"rgb16.png", []string{"-depth", "16"}, false},
}

// benchPaths writes the files and returns their paths.
func benchPaths(b *testing.B) (paths []string) {
	b.Helper()
	dir := b.TempDir()
	var base bytes.Buffer
	if err := jpeg.Encode(&base, marsh16(3000, 2000), &jpeg.Options{Quality: 95}); err != nil {
		b.Fatal(err)
	}
	src := writeFile(b, filepath.Join(dir, "base.jpg"), base.Bytes())
	for _, f := range benchFiles {
		path := filepath.Join(dir, f.name)
		run(b, "convert", append(append([]string{src}, f.args...), path)...)
		if f.turn {
			writeFile(b, path, withEXIF(readFile(b, path), tiffBlock(0, orientation6)))
		}
		paths = append(paths, path)
	}
	return paths
}

func BenchmarkOpen(b *testing.B) {
	for _, path := range benchPaths(b) {
		b.Run(filepath.Base(path), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				open(b, path)
			}
		})
	}
}

func BenchmarkRow(b *testing.B) {
	for _, path := range benchPaths(b) {
		b.Run(filepath.Base(path), func(b *testing.B) {
			p := open(b, path)
			row := newRow(p)
			y := 0
			for b.Loop() {
				p.Row(y%p.Height, row)
				y++
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(p.Width), "ns/pixel")
		})
	}
}
