package photo

import (
	"bytes"
	"encoding/binary"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// psdOf is the generated picture as a PSD or PSB by ImageMagick.
func psdOf(t testing.TB, kind string, args ...string) string {
	t.Helper()
	dir := t.TempDir()
	made := filepath.Join(dir, "marsh."+kind)
	run(t, "convert", slices.Concat([]string{marshFile(t, dir, 150, 131)}, args, []string{kind + ":" + made})...)
	return made
}

// The composite is read exactly: PSD and PSB, 8 and 16 bits, grey, RGB and ink, packed and not.
func TestPSDsAreRead(t *testing.T) {
	for _, kind := range []string{"psd", "psb"} {
		for _, tt := range []struct {
			model Model
			args  []string
		}{
			{RGB, []string{"-depth", "8", "-compress", "RLE"}}, {RGB, []string{"-depth", "8", "-compress", "None"}},
			{RGB, []string{"-depth", "16", "-compress", "RLE"}}, {RGB, []string{"-depth", "16", "-compress", "None"}},
			{Grey, []string{"-colorspace", "Gray", "-depth", "8"}}, {Grey, []string{"-colorspace", "Gray", "-depth", "16"}},
			{CMYK, []string{"-colorspace", "CMYK", "-depth", "8"}}, {CMYK, []string{"-colorspace", "CMYK", "-depth", "16", "-compress", "None"}},
		} {
			path := psdOf(t, kind, tt.args...)
			p := open(t, path)
			if p.Model != tt.model || len(p.Cautions) > 0 || p.Format != formatPSD {
				t.Errorf("%s %q: %s, cautions %v", kind, tt.args, p.Model, p.Cautions)
			}
			if d, _ := difference(t, pixels(p), magick(t, p, path+"[0]")); d > 1e-6 {
				t.Errorf("%s %q: differs by %g", kind, tt.args, d)
			}
		}
	}
}

// The profile and the EXIF of a PSD are kept.
func TestWhatAPSDCarries(t *testing.T) {
	path := psdOf(t, "psd", "-depth", "16", "-profile", "/usr/share/color/icc/colord/AdobeRGB1998.icc")
	run(t, "exiftool", "-q", "-overwrite_original", "-n", "-EXIF:Artist=A Printmaker", path)
	p := open(t, path)
	if want := run(t, "exiftool", "-b", "-icc_profile", path); !bytes.Equal(p.Profile, want) || len(want) == 0 {
		t.Errorf("%d bytes of profile, ExifTool finds %d", len(p.Profile), len(want))
	}
	if p.EXIF.Artist != "A Printmaker" || p.Cautions != nil {
		t.Errorf("%+v", p.Info)
	}
}

// Of layers the composite is what is read. Where it is transparent its colours lie over white
// already, which is said.
func TestLayersOfAPSDAreOneComposite(t *testing.T) {
	dir := t.TempDir()
	base := marshFile(t, dir, 90, 60)
	layered := filepath.Join(dir, "layers.psd")
	run(t, "convert", base, "(", base, "-negate", ")", "(", base, "-flip", ")", "-depth", "8", layered)
	p := open(t, layered)
	if d, _ := difference(t, pixels(p), magick(t, p, layered+"[0]")); d > 1e-6 || len(p.Cautions) > 0 {
		t.Errorf("layers: differs by %g, %v", d, p.Cautions)
	}
	holes := filepath.Join(dir, "holes.psd")
	run(t, "convert", base, "-alpha", "set", "-channel", "A", "-fx", "i/w", "+channel", "-depth", "8", holes)
	p = open(t, holes)
	if got := codes(&p.Info); !slices.Equal(got, []string{CautionAlpha.Code}) {
		t.Errorf("with holes: %v", p.Cautions)
	}
	if d, _ := difference(t, pixels(p), magick(t, p, "-define", "psd:alpha-unblend=off", holes+"[0]", "-alpha", "off")); d > 1e-6 {
		t.Errorf("with holes: differs by %g", d)
	}
}

// withVersion adds the resource that says whether the composite is real.
func withVersion(psd []byte, real byte) []byte {
	const resources = 30 // after the head and the empty section of palettes
	block := "8BIM\x04\x21\x00\x00\x00\x00\x00\x05\x00\x00\x00\x01" + string([]byte{real, 0})
	b := slices.Concat(psd[:resources+4], []byte(block), psd[resources+4:])
	binary.BigEndian.PutUint32(b[resources:], binary.BigEndian.Uint32(psd[resources:])+uint32(len(block)))
	return b
}

// A PSD without its composite is held, with what to do: whether it says so, or is blank.
func TestAPSDWithoutItsComposite(t *testing.T) {
	dir := t.TempDir()
	whole := readFile(t, psdOf(t, "psd", "-depth", "8"))
	path := filepath.Join(dir, "layers.psd")
	if p := open(t, writeFile(t, path, withVersion(whole, 1))); len(p.Cautions) > 0 {
		t.Errorf("with its composite: %v", p.Cautions)
	}
	writeFile(t, path, withVersion(whole, 0))
	for name, try := range tries(path) {
		if err := try(); !is(err, Unsupported) || !strings.Contains(err.Error(), "keeps a flattened picture") {
			t.Errorf("%s: %v", name, err)
		}
	}
	run(t, "convert", "-size", "20x13", "xc:white", "(", marshFile(t, dir, 20, 13), ")", "-depth", "8", path)
	if _, err := Open(path, DefaultLimits()); !is(err, Unsupported) || !strings.Contains(err.Error(), "all of one colour") {
		t.Errorf("blank: %v", err)
	}
}

func TestPSDsThatAreNotRead(t *testing.T) {
	path := psdOf(t, "psd", "-depth", "8")
	b := readFile(t, path)
	for at, patches := range map[int]map[byte]string{
		25: {0: "a bitmap", 2: "colour palette", 7: "separate inks", 8: "duotone", 9: "CIELAB", 11: "colour mode 11"}, // the mode
		23: {1: "1-bit samples", 32: "32-bit samples"},                                                                // the depth
		5:  {3: "version 3"},
	} {
		for v, says := range patches {
			odd := bytes.Clone(b)
			odd[at] = v
			if _, err := Open(writeFile(t, path, odd), DefaultLimits()); !is(err, Unsupported) || !strings.Contains(err.Error(), says) {
				t.Errorf("%s: %v", says, err)
			}
		}
	}
}

// A PSD cut anywhere is not whole and is damaged; zeros in packed rows are found.
func TestCutPSDsAreDamaged(t *testing.T) {
	for _, args := range [][]string{{"-depth", "8", "-compress", "RLE"}, {"-depth", "8", "-compress", "None"}} {
		path := psdOf(t, "psd", args...)
		b := readFile(t, path)
		if err := ended(b, DefaultLimits()); err != nil {
			t.Errorf("%q: %v", args, err)
		}
		for _, n := range []int{20, 40, len(b) / 2, len(b) - 1} {
			if err := ended(b[:n], DefaultLimits()); !isUnended(err) {
				t.Errorf("%q cut to %d of %d: %v", args, n, len(b), err)
			}
			if _, err := Open(writeFile(t, path, b[:n]), DefaultLimits()); !is(err, Damaged) {
				t.Errorf("%q cut to %d of %d: %v", args, n, len(b), err)
			}
		}
		if slices.Contains(args, "RLE") {
			clear(b[len(b)-3000:][:1000])
			if _, err := Open(writeFile(t, path, b), DefaultLimits()); !is(err, Damaged) {
				t.Errorf("a thousand zeros: %v", err)
			}
		}
	}
}
