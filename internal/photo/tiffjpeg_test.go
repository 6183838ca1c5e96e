package photo

import (
	"bytes"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// jpegTIFF is the generated picture as a TIFF whose strips or tiles are JPEGs.
func jpegTIFF(t testing.TB, colours []string, args ...string) string {
	t.Helper()
	dir := t.TempDir()
	plain, made := filepath.Join(dir, "p.tif"), filepath.Join(dir, "m.tif")
	run(t, "convert", slices.Concat([]string{marshFile(t, dir, 150, 131), "-depth", "8"}, colours, []string{plain})...)
	run(t, "tiffcp", slices.Concat(args, []string{plain, made})...)
	return made
}

// JPEGs inside a TIFF are read as libtiff reads them: strips and tiles, YCbCr and RGB, grey
// and ink, in classic and in BigTIFFs. Two decoders differ in the rounding of their
// cosine transform, and here chroma is enlarged smoothly, so the mean is what is compared.
func TestJPEGsInsideATIFFAreRead(t *testing.T) {
	grey, ink := []string{"-colorspace", "Gray"}, []string{"-colorspace", "CMYK"}
	for _, tt := range []struct {
		name    string
		colours []string
		args    []string
		model   Model
	}{
		{"YCbCr strips", nil, []string{"-c", "jpeg:95", "-r", "32"}, RGB},
		{"YCbCr in one strip", nil, []string{"-c", "jpeg:95", "-r", "144"}, RGB},
		{"YCbCr tiles", nil, []string{"-c", "jpeg:95", "-t", "-w", "64", "-l", "48"}, RGB},
		{"RGB strips", nil, []string{"-c", "jpeg:r:95", "-r", "8"}, RGB},
		{"RGB tiles, BigTIFF", nil, []string{"-8", "-c", "jpeg:r:95", "-t", "-w", "32", "-l", "32"}, RGB},
		{"RGB planes", nil, []string{"-c", "jpeg:r:95", "-p", "separate", "-r", "16"}, RGB},
		{"grey tiles", grey, []string{"-c", "jpeg:95", "-t", "-w", "48", "-l", "64"}, Grey},
		{"ink strips", ink, []string{"-c", "jpeg:95", "-r", "24"}, CMYK},
	} {
		path := jpegTIFF(t, tt.colours, tt.args...)
		if info := string(run(t, "tiffinfo", path)); !strings.Contains(info, "Compression Scheme: JPEG") {
			t.Fatalf("%s: %s", tt.name, info)
		}
		p := open(t, path)
		if p.Model != tt.model || p.Cautions != nil {
			t.Errorf("%s: %s, cautions %v", tt.name, p.Model, p.Cautions)
		}
		if largest, mean := difference(t, pixels(p), magick(t, p, path)); mean > 1.0/255 {
			t.Errorf("%s: differs by %.2f of a step in the mean, %.0f at most", tt.name, 255*mean, 255*largest)
		}
	}
}

// The luma of every strip and tile is that of its own JPEG to the last bit: in a tiled file
// and in one strip alike, whose blocks of 8 x 8 are the same.
func TestTheCutOfAJPEGInsideATIFFDoesNotShow(t *testing.T) {
	want := open(t, jpegTIFF(t, nil, "-c", "jpeg:90", "-r", "144"))
	got := open(t, jpegTIFF(t, nil, "-c", "jpeg:90", "-t", "-w", "64", "-l", "32"))
	for c := range want.planes {
		w, g := &want.planes[c], &got.planes[c]
		if w.Grid != g.Grid {
			t.Fatalf("plane %d: %+v, %+v", c, w.Grid, g.Grid)
		}
		inner := func(pl *plane) (all []byte) { // beyond the edge encoders repeat differently
			for y := range pl.Height - 8 {
				all = append(all, pl.pix[y*pl.stride:][:pl.Width-11]...)
			}
			return all
		}
		if !bytes.Equal(inner(w), inner(g)) {
			t.Errorf("plane %d differs", c)
		}
	}
}

// Wherever libtiff says something of a changed bit in the JPEGs of a TIFF, so does this. A JPEG
// has no checksum, so a change that leaves its codes whole is known to nobody.
func TestAChangedBitInAJPEGInsideATIFF(t *testing.T) {
	path := jpegTIFF(t, nil, "-c", "jpeg:90", "-r", "32")
	whole := readFile(t, path)
	draw := rand.New(rand.NewPCG(18, 1))
	said := 0
	for range 80 {
		b := bytes.Clone(whole)
		at, bit := 8+draw.IntN(len(b)*3/4), draw.IntN(8)
		b[at] ^= 1 << bit
		p, err := Open(writeFile(t, path, b), DefaultLimits())
		if err != nil || len(p.Cautions) > 0 {
			said++
		} else if libtiff := libtiffSays(t, path); libtiff != "" {
			t.Errorf("byte %d, bit %d: nothing is said where libtiff says %q", at, bit, libtiff)
		}
	}
	if said == 0 {
		t.Error("none of the changes was found")
	}
}

// A BigTIFF and a TIFF of ZSTD or of JPEGs is whole, and cut or zero from anywhere it is not.
func TestTheEndOfTIFFsOfLaterSorts(t *testing.T) {
	for _, args := range [][]string{{"-8", "-c", "none"}, {"-c", "zstd", "-r", "50"}, {"-c", "jpeg", "-r", "48"}, {"-8", "-c", "jpeg", "-t", "-w", "64", "-l", "64"}} {
		b := readFile(t, jpegTIFF(t, nil, args...))
		if err := ended(b, DefaultLimits()); err != nil {
			t.Errorf("%q: %v", args, err)
		}
		for n := 0; n < len(b); n += 37 {
			if err := ended(b[:n], DefaultLimits()); !isUnended(err) {
				t.Errorf("%q cut to %d of %d: %v", args, n, len(b), err)
			}
		}
	}
}
