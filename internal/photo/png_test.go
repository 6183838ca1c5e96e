package photo

import (
	"encoding/binary"
	"hash/crc32"
	"path/filepath"
	"slices"
	"testing"
)

// PNGs of every colour type read exactly as ImageMagick (libpng) reads them.
func TestPNGsReadExactly(t *testing.T) {
	dir := t.TempDir()
	base := marshFile(t, dir, 75, 51)
	tests := []struct {
		name   string
		prefix string
		args   []string
		model  Model
		bits   int
	}{
		{"RGB 8", "PNG24:", nil, RGB, 8},
		{"RGB 16", "PNG48:", nil, RGB, 16},
		{"RGB 16 interlaced", "PNG48:", []string{"-interlace", "PNG"}, RGB, 16},
		{"grey 8", "PNG:", []string{"-colorspace", "Gray", "-depth", "8", "-define", "png:color-type=0"}, Grey, 8},
		{"grey 16", "PNG:", []string{"-colorspace", "Gray", "-depth", "16", "-define", "png:color-type=0"}, Grey, 16},
		{"grey 2", "PNG:", []string{"-colorspace", "Gray", "-define", "png:color-type=0", "-define", "png:bit-depth=2", "-posterize", "4"}, Grey, 8},
		{"palette", "PNG8:", []string{"-colors", "64"}, RGB, 8},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			path := filepath.Join(dir, "v.png")
			run(t, "convert", slices.Concat([]string{base}, tt.args, []string{tt.prefix + path})...)
			p := open(t, path)
			if p.Model != tt.model || p.Bits != tt.bits || p.Format != "PNG" || p.Cautions != nil {
				t.Errorf("read as %s %s of %d bits, cautions %v", p.Format, p.Model, p.Bits, p.Cautions)
			}
			if d, _ := difference(t, pixels(p), magick(t, p, path)); d > 1e-7 {
				t.Errorf("differs from libpng by %g", d)
			}
		})
	}
}

// Transparency is laid over white on encoded values, to within one step of
// ImageMagick's rounding, and cautioned of only where there is any.
func TestPNGAlphaOverWhite(t *testing.T) {
	dir := t.TempDir()
	base := marshFile(t, dir, 75, 51)
	fade := []string{"-alpha", "set", "-channel", "A", "-fx", "i/w", "+channel"}
	tests := []struct {
		name   string
		prefix string
		args   []string
		want   []string
	}{
		{"RGB 8", "PNG32:", fade, []string{CautionAlpha.Code}},
		{"RGB 16", "PNG64:", fade, []string{CautionAlpha.Code}},
		{"grey 8", "PNG:", append([]string{"-colorspace", "Gray", "-depth", "8", "-define", "png:color-type=4"}, fade...), []string{CautionAlpha.Code}},
		{"grey 16", "PNG:", append([]string{"-colorspace", "Gray", "-depth", "16", "-define", "png:color-type=4"}, fade...), []string{CautionAlpha.Code}},
		{"palette", "PNG8:", []string{"-colors", "16", "-transparent", "#cccc33333333", "-fuzz", "30%"}, nil},
		{"opaque", "PNG32:", []string{"-alpha", "opaque"}, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			path := filepath.Join(dir, "v.png")
			run(t, "convert", slices.Concat([]string{base}, tt.args, []string{tt.prefix + path})...)
			p := open(t, path)
			if got := codes(&p.Info); tt.name != "palette" && !slices.Equal(got, tt.want) {
				t.Errorf("cautions %v, want %v", got, tt.want)
			}
			largest, _ := difference(t, pixels(p), magick(t, p, path, "-background", "white", "-flatten"))
			if step := 1.01 / float64(int(1)<<p.Bits-1); largest > step {
				t.Errorf("differs by %g, more than a step (%g)", largest, step)
			}
		})
	}
}

// makeChunk builds a chunk: length, name, data, checksum (PNG, 5.3).
func makeChunk(name, data string) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	b = append(append(b, name...), data...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

// Colour and EXIF from the chunks: sRGB, eXIf.
func TestPNGSaysWhatItIs(t *testing.T) {
	dir := t.TempDir()
	b := readFile(t, marshFile(t, dir, 20, 20))
	const afterHeader = 8 + 12 + 13
	path := writeFile(t, filepath.Join(dir, "v.png"), slices.Concat(b[:afterHeader], makeChunk("sRGB", "\x00"), b[afterHeader:]))
	run(t, "exiftool", "-q", "-overwrite_original", "-EXIF:Make=Saltmarsh Optical", "-EXIF:Artist=T. Reed", path)
	p := open(t, path)
	if !p.Stated.SRGB || p.ColourHint != "" || p.EXIF.Make != "Saltmarsh Optical" || p.EXIF.Artist != "T. Reed" || p.Cautions != nil {
		t.Errorf("%+v", p.Info)
	}
}

func TestCutPNGsAreDamaged(t *testing.T) {
	dir := t.TempDir()
	whole := readFile(t, marshFile(t, dir, 60, 40))
	for _, keep := range []int{8, 20, 40, len(whole) / 2, len(whole) - 12, len(whole) - 1} {
		path := writeFile(t, filepath.Join(dir, "cut.png"), whole[:keep])
		for name, try := range tries(path) {
			if err := try(); !is(err, Damaged) {
				t.Errorf("%s of %d of %d bytes: %v", name, keep, len(whole), err)
			}
		}
	}
	whole[len(whole)/2] ^= 0x10
	if _, err := Open(writeFile(t, filepath.Join(dir, "spoilt.png"), whole), DefaultLimits()); !is(err, Damaged) {
		t.Errorf("spoilt: %v", err)
	}
}
