package photo

import (
	"bytes"
	"encoding/binary"
	"path/filepath"
	"slices"
	"testing"
)

// webpOf is the generated picture as a WebP by libwebp's cwebp.
func webpOf(t testing.TB, convert []string, args ...string) string {
	t.Helper()
	dir := t.TempDir()
	png, made := filepath.Join(dir, "p.png"), filepath.Join(dir, "marsh.webp")
	run(t, "convert", slices.Concat([]string{marshFile(t, dir, 150, 131), "-depth", "8"}, convert, []string{png})...)
	run(t, "cwebp", slices.Concat([]string{"-quiet", "-metadata", "all"}, args, []string{png, "-o", made})...)
	return made
}

// WebPs are read as libwebp reads them: lossless ones exactly, lossy ones, whose luma runs
// from 16 to 235, within the rounding of its whole numbers, also where chroma is enlarged.
func TestWebPsAreRead(t *testing.T) {
	holes := []string{"-alpha", "set", "-channel", "A", "-fx", "i/w", "+channel"}
	for _, tt := range []struct {
		name     string
		convert  []string
		args     []string
		mean     float64 // in steps of 8 bits
		cautions []string
	}{
		{"lossy", nil, []string{"-q", "90"}, 0.5, nil},
		{"lossy, coarse", nil, []string{"-q", "20"}, 0.5, nil},
		{"lossy, opaque alpha", []string{"-alpha", "set"}, []string{"-q", "90"}, 0.5, nil},
		{"lossy with holes", holes, []string{"-q", "90"}, 0.7, []string{CautionAlpha.Code}},
		{"lossy with plain holes", holes, []string{"-q", "90", "-alpha_method", "0", "-alpha_filter", "none"}, 0.7, []string{CautionAlpha.Code}},
		{"lossless", nil, []string{"-lossless"}, 0, nil},
		{"lossless with holes", holes, []string{"-lossless", "-exact"}, 0.5, []string{CautionAlpha.Code}},
	} {
		path := webpOf(t, tt.convert, tt.args...)
		p := open(t, path)
		if !slices.Equal(codes(&p.Info), tt.cautions) || p.Format != formatWebP {
			t.Errorf("%s: %s, %v", tt.name, p.Format, p.Cautions)
		}
		if _, mean := difference(t, pixels(p), magick(t, p, path, "-background", "white", "-flatten")); mean*255 > tt.mean {
			t.Errorf("%s: differs by %.3f of a step in the mean", tt.name, 255*mean)
		}
	}
}

// Black and white of video range are black and white.
func TestVideoRangeIsTheWholeRange(t *testing.T) {
	for colour, want := range map[string]float32{"black": 0, "white": 1} {
		for _, v := range pixels(open(t, webpOf(t, []string{"-fill", colour, "-colorize", "100"}, "-q", "80"))) {
			if v < want-0.004 || v > want+0.004 {
				t.Fatalf("%s is read as %g", colour, v)
			}
		}
	}
}

// The profile is kept byte for byte, and the picture stands as its EXIF says.
func TestWhatAWebPCarries(t *testing.T) {
	path := webpOf(t, []string{"-profile", "/usr/share/color/icc/colord/AdobeRGB1998.icc"}, "-q", "90")
	run(t, "exiftool", "-q", "-overwrite_original", "-n", "-Orientation=6", "-Artist=A Printmaker", path)
	p := open(t, path)
	if want := run(t, "exiftool", "-b", "-icc_profile", path); !bytes.Equal(p.Profile, want) || len(want) == 0 {
		t.Errorf("%d bytes of profile, ExifTool finds %d", len(p.Profile), len(want))
	}
	if p.Width != 131 || p.Height != 150 || p.EXIF.Artist != "A Printmaker" || p.Cautions != nil {
		t.Errorf("%+v", p.Info)
	}
	if _, mean := difference(t, pixels(p), magick(t, p, path, "-rotate", "90")); mean*255 > 0.5 {
		t.Errorf("differs by %.3f of a step in the mean", 255*mean)
	}
}

// An animation is held, and so is what is damaged: cut, or with a part that was never copied.
func TestWebPsThatAreNotPrinted(t *testing.T) {
	dir := t.TempDir()
	one, moving := webpOf(t, nil, "-q", "90"), filepath.Join(dir, "moving.webp")
	run(t, "webpmux", "-frame", one, "+100", "-frame", webpOf(t, []string{"-negate"}, "-q", "90"), "+100", "-o", moving)
	if _, err := Open(moving, DefaultLimits()); !is(err, Unsupported) {
		t.Errorf("an animation: %v", err)
	}
	for name, args := range map[string][]string{"lossy": {"-q", "95"}, "lossless": {"-lossless"}} {
		whole := readFile(t, webpOf(t, nil, args...))
		for _, n := range []int{16, 100, len(whole) / 2, len(whole) - 2} {
			path := writeFile(t, filepath.Join(dir, "cut.webp"), whole[:n])
			if _, err := Open(path, DefaultLimits()); !is(err, Damaged) {
				t.Errorf("%s, cut to %d of %d: %v", name, n, len(whole), err)
			}
			if err := ended(whole[:n], DefaultLimits()); !isUnended(err) {
				t.Errorf("%s, cut to %d of %d: %v", name, n, len(whole), err)
			}
			set := append(bytes.Clone(whole[:n]), make([]byte, len(whole)-n)...)
			if err := ended(set, DefaultLimits()); n < len(whole)-tailBytes && !isUnended(err) {
				t.Errorf("%s, zero from %d of %d: %v", name, n, len(whole), err)
			}
		}
		for _, n := range []int{100, zerosMissing} {
			b := bytes.Clone(whole)
			clear(b[min(1000, len(b)-n-40):][:n])
			p, err := Open(writeFile(t, filepath.Join(dir, "zeros.webp"), b), DefaultLimits())
			if err == nil && !slices.Contains(codes(&p.Info), CautionChanged.Code) {
				t.Errorf("%s, %d zeros: nothing is said", name, n)
			}
		}
		short := bytes.Clone(whole) // a frame that ends early, in a file that is whole
		binary.LittleEndian.PutUint32(short[4:], uint32(len(whole)/2-8))
		binary.LittleEndian.PutUint32(short[16:], uint32(len(whole)/2-20))
		if _, err := Open(writeFile(t, filepath.Join(dir, "short.webp"), short), DefaultLimits()); !is(err, Damaged) {
			t.Errorf("%s, a frame that ends early: %v", name, err)
		}
	}
}
