package photo

import (
	"fmt"
	"path/filepath"
	"slices"
	"testing"
)

// shown gives, for EXIF orientations 1 to 8 (CIPA DC-008, tag 0x0112), the
// stored pixel that is seen at (x, y), in a picture stored w x h.
var shown = [9]func(x, y, w, h int) (int, int){
	1: func(x, y, w, h int) (int, int) { return x, y },
	2: func(x, y, w, h int) (int, int) { return w - 1 - x, y },
	3: func(x, y, w, h int) (int, int) { return w - 1 - x, h - 1 - y },
	4: func(x, y, w, h int) (int, int) { return x, h - 1 - y },
	5: func(x, y, w, h int) (int, int) { return y, x },
	6: func(x, y, w, h int) (int, int) { return y, h - 1 - x },
	7: func(x, y, w, h int) (int, int) { return w - 1 - y, h - 1 - x },
	8: func(x, y, w, h int) (int, int) { return w - 1 - y, x },
}

// A picture stored in any of the eight orientations is seen upright: the same
// pixels as stored, moved, also where odd sides leave half a chroma sample over.
// ImageMagick's -auto-orient is the second opinion.
func TestAllOrientationsStandUpright(t *testing.T) {
	for _, size := range [][2]int{{37, 23}, {38, 24}} {
		dir := t.TempDir()
		files := orientationFiles(t, dir, size[0], size[1])
		var all []string // one run of ExifTool for all eight: it is slow to start
		for o := 1; o <= 8; o++ {
			all = append(all, fmt.Sprintf("-Orientation=%d", o), "-o", fmt.Sprintf("%s/%d/", dir, o))
			all = append(append(all, files...), "-execute")
		}
		run(t, "exiftool", append(all, "-common_args", "-q", "-n")...)
		for _, f := range files {
			stored := pixels(open(t, f))
			for o := 1; o <= 8; o++ {
				checkUpright(t, filepath.Join(dir, fmt.Sprint(o), filepath.Base(f)), o, size, stored)
			}
		}
	}
}

// orientationFiles writes one picture in every layout that moves differently.
func orientationFiles(t *testing.T, dir string, w, h int) (files []string) {
	base := marshFile(t, dir, w, h)
	for _, v := range [][]string{
		{"444.jpg", "-sampling-factor", "1x1"},
		{"420.jpg", "-sampling-factor", "2x2"},
		{"422.jpg", "-sampling-factor", "2x1"},
		{"440.jpg", "-sampling-factor", "1x2"},
		{"411.jpg", "-sampling-factor", "4x1"},
		{"grey.jpg", "-colorspace", "Gray"},
		{"cmyk.jpg", "-colorspace", "CMYK"},
		{"rgb16.png"},
		{"rgb8.png", "-depth", "8"},
		{"rgb16.tif"},
		{"grey16.tif", "-colorspace", "Gray"},
		{"rgb8.tif", "-depth", "8"},
	} {
		f := filepath.Join(dir, v[0])
		run(t, "convert", slices.Concat([]string{base}, v[1:], []string{"-quality", "95", f})...)
		files = append(files, f)
	}
	return files
}

func checkUpright(t *testing.T, path string, o int, size [2]int, stored []float32) {
	t.Helper()
	w, h := size[0], size[1]
	name := fmt.Sprintf("%s %dx%d orientation %d", filepath.Base(path), w, h, o)
	p := open(t, path)
	if p.Orientation != o {
		t.Errorf("%s: read as %d", name, p.Orientation)
		return
	}
	wantW, wantH := w, h
	if o >= 5 {
		wantW, wantH = h, w
	}
	if p.Width != wantW || p.Height != wantH {
		t.Errorf("%s: %dx%d, want %dx%d", name, p.Width, p.Height, wantW, wantH)
		return
	}
	got, n := pixels(p), p.Channels()
	want := make([]float32, 0, len(got))
	for y := range p.Height {
		for x := range p.Width {
			sx, sy := shown[o](x, y, w, h)
			want = append(want, stored[(sy*w+sx)*n:][:n]...)
		}
	}
	// Interpolated chroma is summed from the other side: float32 rounding.
	if d, _ := difference(t, got, want); d > 1e-6 {
		t.Errorf("%s: differs from the moved pixels by %g", name, d)
	}
	if filepath.Ext(path) == ".tif" {
		if d, _ := difference(t, got, magick(t, p, path, "-auto-orient")); d > 1e-7 {
			t.Errorf("%s: differs from ImageMagick's -auto-orient by %g", name, d)
		}
	}
}
