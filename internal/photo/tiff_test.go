package photo

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	xtiff "golang.org/x/image/tiff"
)

// Every layout that libtiff can write of the same pixels reads as the same
// pixels, exactly: ImageMagick and libtiff are asked to agree.
func TestTIFFLayoutsReadExactly(t *testing.T) {
	dir := t.TempDir()
	base := marshFile(t, dir, 150, 131) // no multiple of any tile or strip
	sources := []struct {
		name string
		args []string
		want Model
	}{
		{"rgb8", []string{"-depth", "8"}, RGB},
		{"rgb16", []string{"-depth", "16"}, RGB},
		{"grey8", []string{"-colorspace", "Gray", "-depth", "8"}, Grey},
		{"grey16", []string{"-colorspace", "Gray", "-depth", "16"}, Grey},
		{"cmyk8", []string{"-colorspace", "CMYK", "-depth", "8"}, CMYK},
	}
	layouts := [][]string{
		{"-c", "none"}, {"-c", "none", "-B", "-r", "7"}, {"-c", "none", "-B", "-t", "-w", "64", "-l", "48"},
		{"-c", "lzw"}, {"-c", "lzw:2", "-B"}, {"-c", "lzw:2", "-t", "-w", "32", "-l", "32"},
		{"-c", "zip"}, {"-c", "zip:2", "-r", "1"}, {"-c", "zip:2", "-B", "-t", "-w", "256", "-l", "256"},
		{"-c", "packbits", "-r", "16"},
		{"-c", "zstd"}, {"-c", "zstd:2", "-B", "-t", "-w", "64", "-l", "64"}, {"-8", "-c", "zstd:2:p19", "-r", "9"},
		{"-8", "-c", "none", "-r", "7"}, {"-8", "-c", "lzw:2", "-B", "-r", "1"}, {"-8", "-c", "zip:2", "-t", "-w", "32", "-l", "32"},
		{"-c", "none", "-p", "separate"}, {"-c", "lzw:2", "-p", "separate", "-t", "-w", "32", "-l", "64"},
		{"-c", "zip:2", "-p", "separate", "-B", "-r", "11"},
	}
	for _, s := range sources {
		src := filepath.Join(dir, s.name+".tif")
		run(t, "convert", slices.Concat([]string{base}, s.args, []string{src})...)
		p := open(t, src)
		if p.Model != s.want {
			t.Fatalf("%s read as %s", s.name, p.Model)
		}
		want := magick(t, p, src)
		for _, l := range layouts {
			if slices.Contains(l, "separate") && (p.Bits == 16 || p.Model == Grey) {
				continue // tiffcp separates 8-bit samples only
			}
			name := s.name + " " + strings.Join(l, " ")
			path := filepath.Join(dir, "v.tif")
			run(t, "tiffcp", slices.Concat(l, []string{src, path})...)
			got := open(t, path)
			if d, _ := difference(t, pixels(got), want); d > 1e-7 || got.Cautions != nil {
				t.Errorf("%s: differs by %g, cautions %v", name, d, got.Cautions)
			}
		}
	}
}

// Planar configuration 2 at 16 bits, which tiffcp does not write but
// ImageMagick does.
func TestTIFF16BitSeparatePlanes(t *testing.T) {
	dir := t.TempDir()
	base := marshFile(t, dir, 150, 131)
	path := filepath.Join(dir, "separate.tif")
	run(t, "convert", base, "-interlace", "Plane", "-endian", "LSB", "-compress", "Zip", path)
	if info := run(t, "tiffinfo", path); !strings.Contains(string(info), "separate image planes") {
		t.Fatalf("not separate planes:\n%s", info)
	}
	if d, _ := difference(t, pixels(open(t, path)), pixels(open(t, base))); d > 1e-7 {
		t.Errorf("differs from the PNG by %g", d)
	}
}

// golang.org/x/image/tiff is a second, independent reader of what both read.
func TestTIFFAgreesWithAnotherReader(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "v.tif")
	run(t, "convert", marshFile(t, dir, 70, 50), "-depth", "16", "-compress", "LZW", "-endian", "MSB", path)
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := xtiff.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	other := &Photo{Info: Info{Model: RGB, Width: 70, Height: 50, Bits: 16}}
	if err := other.adopt(img); err != nil {
		t.Fatal(err)
	}
	if d, _ := difference(t, pixels(open(t, path)), pixels(other)); d != 0 {
		t.Errorf("differs by %g", d)
	}
}

// "White is zero" grey (TIFF 6.0, PhotometricInterpretation 0) is turned round.
func TestTIFFMinIsWhite(t *testing.T) {
	for _, bits := range []int{8, 16} {
		dir := t.TempDir()
		normal, inverted := filepath.Join(dir, "n.tif"), filepath.Join(dir, "i.tif")
		base := marshFile(t, dir, 50, 40)
		args := []string{base, "-colorspace", "Gray", "-depth", fmt.Sprint(bits)}
		run(t, "convert", append(slices.Clone(args), normal)...)
		run(t, "convert", append(args, "-define", "quantum:polarity=min-is-white", inverted)...)
		if info := run(t, "tiffinfo", inverted); !strings.Contains(string(info), "min-is-white") {
			t.Fatalf("not min-is-white:\n%s", info)
		}
		// ImageMagick writes the same numbers under the new label.
		p, want := open(t, inverted), pixels(open(t, normal))
		for i := range want {
			want[i] = 1 - want[i]
		}
		if d, _ := difference(t, pixels(p), want); d > 1e-6 {
			t.Errorf("%d bits: differs by %g", bits, d)
		}
		if d, _ := difference(t, pixels(p), magick(t, p, inverted)); d > 1e-7 {
			t.Errorf("%d bits: differs from ImageMagick by %g", bits, d)
		}
	}
}

// Alpha in a TIFF is laid over white, whether colours were multiplied by it
// already or not, to within one step of ImageMagick's rounding.
func TestTIFFAlphaOverWhite(t *testing.T) {
	dir := t.TempDir()
	base := marshFile(t, dir, 61, 43)
	for _, depth := range []string{"8", "16"} {
		for _, kind := range []string{"unassociated", "associated"} {
			path := filepath.Join(dir, kind+depth+".tif")
			run(t, "convert", base, "-alpha", "set", "-channel", "A", "-fx", "i/w", "+channel",
				"-depth", depth, "-define", "tiff:alpha="+kind, path)
			p := open(t, path)
			if got := codes(&p.Info); !slices.Equal(got, []string{CautionAlpha.Code}) {
				t.Errorf("%s %s bits: cautions %v", kind, depth, got)
			}
			largest, _ := difference(t, pixels(p), magick(t, p, path, "-background", "white", "-flatten"))
			if step := 1.01 / float64(int(1)<<p.Bits-1); largest > step {
				t.Errorf("%s %s bits: differs by %g, more than a step (%g)", kind, depth, largest, step)
			}
		}
	}
}

// Opaque alpha is not worth a caution; channels that are not alpha are, and are
// left out; the first of several pages is used, and that is said.
func TestTIFFCautions(t *testing.T) {
	dir := t.TempDir()
	base := marshFile(t, dir, 40, 30)
	plain := filepath.Join(dir, "plain.tif")
	run(t, "convert", base, "-depth", "8", plain)
	want := pixels(open(t, plain))
	tests := []struct {
		name string
		make func(path string)
		want []string
	}{
		{"opaque alpha", func(path string) { run(t, "convert", plain, "-alpha", "opaque", path) }, nil},
		{"a saved selection", func(path string) {
			run(t, "convert", plain, "-alpha", "set", "-channel", "A", "-fx", "i/w", "+channel", "-define", "tiff:alpha=unspecified", path)
		}, []string{CautionChannels.Code}},
		{"two pages", func(path string) { run(t, "convert", plain, "(", plain, "-negate", ")", path) }, []string{CautionPages.Code}},
	}
	for _, tt := range tests {
		path := filepath.Join(dir, "v.tif")
		tt.make(path)
		p := open(t, path)
		if got := codes(&p.Info); !slices.Equal(got, tt.want) {
			t.Errorf("%s: cautions %v, want %v", tt.name, got, tt.want)
		}
		if d, _ := difference(t, pixels(p), want); d != 0 {
			t.Errorf("%s: first page's colours differ by %g", tt.name, d)
		}
	}
}

// What is not read is refused by its name, never read wrongly.
func TestTIFFsThatAreNotRead(t *testing.T) {
	dir := t.TempDir()
	base := marshFile(t, dir, 64, 48)
	tests := []struct {
		args []string
		says string
	}{
		{[]string{"-depth", "32", "-define", "quantum:format=floating-point"}, "floating-point"},
		{[]string{"-depth", "32"}, "32-bit"},
		{[]string{"-monochrome", "-depth", "1"}, "1-bit"},
		{[]string{"-type", "Palette", "-colors", "200"}, "palette"},
		{[]string{"-colorspace", "Lab", "-depth", "8"}, "CIELAB"},
		{[]string{"-depth", "8", "-compress", "LZMA"}, "compression 34925"},
	}
	for _, tt := range tests {
		path := filepath.Join(dir, "v.tif")
		run(t, "convert", slices.Concat([]string{base}, tt.args, []string{path})...)
		for name, try := range tries(path) {
			if err := try(); !is(err, Unsupported) || !strings.Contains(err.Error(), tt.says) {
				t.Errorf("%s of %v: %v; want it to say %q", name, tt.args, err, tt.says)
			}
		}
	}
}

// A TIFF cut anywhere is damaged, and so is one whose packed data is spoilt.
func TestCutTIFFsAreDamaged(t *testing.T) {
	dir := t.TempDir()
	base := marshFile(t, dir, 80, 60)
	for _, c := range []string{"none", "lzw:2", "zip:2", "packbits", "zstd:2", "jpeg"} {
		whole, cut := filepath.Join(dir, "w.tif"), filepath.Join(dir, "c.tif")
		run(t, "convert", base, "-depth", "8", whole)
		run(t, "tiffcp", "-c", c, "-r", "16", whole, cut)
		b := readFile(t, cut)
		for _, keep := range []int{4, 9, len(b) / 2, len(b) - 1} {
			writeFile(t, whole, b[:keep])
			if _, err := Open(whole, DefaultLimits()); !is(err, Damaged) && keep != len(b)-1 {
				t.Errorf("%s cut to %d of %d: %v", c, keep, len(b), err)
			}
		}
		if c != "zip:2" {
			continue
		}
		b[len(b)/3] ^= 0x55
		writeFile(t, whole, b)
		if _, err := Open(whole, DefaultLimits()); !is(err, Damaged) {
			t.Errorf("spoilt %s: %v", c, err)
		}
	}
}
