package photo

import (
	"bytes"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// heifOf is the generated picture as a HEIC by libheif's heif-enc, or an AVIF by libavif's avifenc.
func heifOf(t testing.TB, kind string, convert []string, args ...string) string {
	t.Helper()
	dir := t.TempDir()
	png, made := filepath.Join(dir, "p.png"), filepath.Join(dir, "marsh."+kind)
	run(t, "convert", slices.Concat([]string{marshFile(t, dir, 150, 130)}, convert, []string{png})...)
	if kind == "avif" {
		run(t, "avifenc", slices.Concat([]string{"-s", "9"}, args, []string{png, made})...)
	} else {
		run(t, "heif-enc", slices.Concat(args, []string{"-p", "preset=ultrafast", png, "-o", made})...)
	}
	return made
}

// decodedBy is a HEIF decoded by another program to a PNG, as samples in the picture's depth.
func decodedBy(t testing.TB, p *Photo, path, program string, args ...string) []float32 {
	t.Helper()
	png := filepath.Join(t.TempDir(), "other.png")
	run(t, program, path, png)
	return magick(t, p, png, args...)
}

var bits8, bits16 = []string{"-depth", "8"}, []string{"-depth", "16"}

// HEICs and AVIFs of 8 and 10 bits are read as libheif's own program reads them, and AVIFs as
// libavif does, whole and in grids.
func TestHEIFsAreRead(t *testing.T) {
	for _, tt := range []struct {
		name    string
		kind    string
		convert []string
		args    []string
		bits    int
		by      string
		mean    float64 // in steps of 8 bits
	}{
		{"HEIC, odd size", "heic", append(bits8, "-resize", "131x97!"), []string{"-q", "90"}, 8, "heif-convert", 0},
		{"HEIC, 4:2:2", "heic", bits8, []string{"-q", "90", "-p", "chroma=422"}, 8, "heif-convert", 0},
		{"HEIC, 4:4:4", "heic", bits8, []string{"-q", "90", "-p", "chroma=444"}, 8, "heif-convert", 0},
		{"HEIC of 10 bits", "heic", bits16, []string{"-q", "90", "-b", "10"}, 16, "heif-convert", 0},
		{"HEIC of 10 bits, 4:2:2", "heic", bits16, []string{"-q", "90", "-b", "10", "-p", "chroma=422"}, 16, "heif-convert", 0},
		{"AVIF", "avif", bits8, []string{"-y", "444", "--min", "5", "--max", "10"}, 8, "avifdec", 0.6},
		{"AVIF, video range", "avif", bits8, []string{"-y", "444", "-r", "limited"}, 8, "avifdec", 0.8},
		{"AVIF of 10 bits", "avif", bits16, []string{"-y", "444", "-d", "10"}, 16, "avifdec", 0.6},
		{"AVIF of 10 bits, 4:2:0", "avif", bits16, []string{"-y", "420", "-d", "10"}, 16, "heif-convert", 0},
		{"AVIF in a grid", "avif", append(bits8, "-resize", "256x256!"), []string{"-y", "444", "--grid", "2x2"}, 8, "avifdec", 0.6},
		{"AVIF, 4:2:0, cut", "avif", bits8, []string{"-y", "420", "--crop", "12,6,100,90"}, 8, "heif-convert", 0},
	} {
		path := heifOf(t, tt.kind, tt.convert, tt.args...)
		p := open(t, path)
		if p.Bits != tt.bits || p.Model != RGB || p.Subsampling != "" || !slices.Equal(codes(&p.Info), []string{CautionNoChecksum.Code}) {
			t.Errorf("%s: %d bits, %v", tt.name, p.Bits, p.Cautions)
		}
		if _, mean := difference(t, pixels(p), decodedBy(t, p, path, tt.by)); mean*255 > tt.mean {
			t.Errorf("%s: differs by %.3f of a step in the mean", tt.name, 255*mean)
		}
		if in, err := Identify(path, DefaultLimits()); err != nil || in.Width != p.Width || in.Height != p.Height || in.Bits != p.Bits {
			t.Errorf("%s: foreseen %+v, %v", tt.name, in, err)
		}
	}
}

// The sort that telephones make, 8 bits with coarse chroma, is held as luma and chroma, which
// are those of libheif's own PNG within half a step of 8 bits in the mean (libheif rounds
// twice): whatever the matrix and the range, turned, mirrored and in a grid. Chroma is then
// enlarged smoothly, where libheif 1.15 repeats it. So with edges as soft as a lens draws them
// the colours are nearer to the picture that was coded.
func TestHEIFsOfCoarseColourAreReadAsLumaAndChroma(t *testing.T) {
	bt709, video := []string{"-q", "90", "-p", "x265:colormatrix=bt709"}, []string{"-p", "x265:range=limited"}
	square := append(bits8, "-resize", "256x256!")
	for _, tt := range []struct {
		name, kind string
		convert    []string
		args       []string
	}{
		{"HEIC, soft edges", "heic", append(bits8, "-blur", "0x1"), []string{"-q", "90"}},
		{"HEIC of BT.709", "heic", bits8, append(bt709, "-p", "x265:range=full")},
		{"HEIC of BT.709, video range", "heic", bits8, append(bt709, video...)},
		{"HEIC, video range", "heic", bits8, append([]string{"-q", "90"}, video...)},
		{"AVIF of BT.601", "avif", bits8, []string{"-y", "420", "--cicp", "1/13/6"}},
		{"AVIF of BT.709, video range, turned", "avif", bits8, []string{"-y", "420", "--cicp", "1/13/1", "-r", "limited", "--irot", "1"}},
		{"AVIF of BT.2020, mirrored", "avif", bits8, []string{"-y", "420", "--cicp", "9/13/9", "--imir", "1"}},
		{"AVIF of Display P3 in a grid, turned and mirrored", "avif", square, []string{"-y", "420", "--grid", "2x2", "--cicp", "12/13/6", "--irot", "3", "--imir", "0"}},
	} {
		path := heifOf(t, tt.kind, tt.convert, tt.args...)
		p := open(t, path)
		if _, apart := p.YCC(); !apart || p.Bits != 8 || p.Subsampling != "4:2:0" {
			t.Errorf("%s: luma and chroma apart: %v, %d bits, %q", tt.name, apart, p.Bits, p.Subsampling)
			continue
		}
		repeated := decodedBy(t, p, path, "heif-convert")
		for plane, mean := range differenceYCC(p, repeated) {
			if mean*255 > 0.5 {
				t.Errorf("%s: plane %d differs by %.3f of a step in the mean", tt.name, plane, 255*mean)
			}
		}
		if strings.Contains(tt.name, "soft") {
			coded := magick(t, p, filepath.Join(filepath.Dir(path), "p.png"))
			_, smooth := difference(t, pixels(p), coded)
			if _, mean := difference(t, repeated, coded); smooth > mean {
				t.Errorf("%s: %.2f steps from the coded picture, libheif's PNG %.2f", tt.name, 255*smooth, 255*mean)
			}
		}
	}
}

// differenceYCC is the mean difference of luma, R-Y and B-Y from those of RGB pixels, of
// which the chroma of two by two is averaged.
func differenceYCC(p *Photo, rgb []float32) (mean [3]float64) {
	w := p.Width
	at := func(plane, x, y int) float64 {
		c := rgb[3*(y*w+x):][:3]
		luma := 0.299*float64(c[0]) + 0.587*float64(c[1]) + 0.114*float64(c[2])
		return [3]float64{luma, float64(c[0]) - luma, float64(c[2]) - luma}[plane]
	}
	row := make([]float32, w)
	grids, _ := p.YCC()
	for c, g := range grids {
		for y := range g.Height {
			p.YCCRow(c, y, row)
			for x := range g.Width {
				sum := 0.0
				for j := range g.SubY {
					for i := range g.SubX {
						sum += at(c, x*g.SubX+i, y*g.SubY+j)
					}
				}
				mean[c] += math.Abs(float64(row[x])-sum/float64(g.SubX*g.SubY)) / float64(g.Width*g.Height)
			}
		}
	}
	return mean
}

// Transparent parts are laid over white.
func TestAHEIFWithHoles(t *testing.T) {
	path := heifOf(t, "avif", append(bits8, "-alpha", "set", "-channel", "A", "-fx", "i/w", "+channel"), "-y", "444")
	p := open(t, path)
	if got := codes(&p.Info); !slices.Equal(got, []string{CautionNoChecksum.Code, CautionAlpha.Code}) {
		t.Errorf("cautions %v", got)
	}
	if _, mean := difference(t, pixels(p), decodedBy(t, p, path, "avifdec", "-background", "white", "-flatten")); mean*255 > 1 {
		t.Errorf("differs by %.3f of a step in the mean", 255*mean)
	}
}

// A HEIF's own turn and mirroring are obeyed, once, the turn first (ISO/IEC 23000-22, 7.3.6.7),
// and EXIF's orientation is not: not beside them, whatever it says, and not without them, where
// that is said.
func TestAHEIFStandsAsItSaysItself(t *testing.T) {
	plain := open(t, heifOf(t, "avif", bits8, "-y", "444", "-l"))
	want := pixels(plain)
	back := filepath.Join(t.TempDir(), "as-stored.png")
	run(t, "avifdec", heifOf(t, "avif", bits8, "-y", "444", "-l"), back)
	convert := map[string][]string{}
	for turned, args := range map[string][]string{ // irot turns anticlockwise; imir 0 exchanges top and bottom
		"--irot 1": {"-rotate", "270"}, "--irot 2": {"-rotate", "180"}, "--irot 3": {"-rotate", "90"},
		"--imir 0": {"-flip"}, "--imir 1": {"-flop"}, "--irot 1 --imir 0": {"-rotate", "270", "-flip"}, "--irot 3 --imir 1": {"-rotate", "90", "-flop"},
	} {
		convert[heifOf(t, "avif", bits8, append([]string{"-y", "444", "-l"}, strings.Fields(turned)...)...)] = args
	}
	run(t, "exiftool", append([]string{"-q", "-overwrite_original", "-n", "-Orientation=6", "-Artist=A Printmaker"}, slices.Collect(maps.Keys(convert))...)...)
	for path, args := range convert {
		p := open(t, path)
		if len(p.Cautions) != 1 || p.EXIF.Artist != "A Printmaker" || p.Orientation != 1 {
			t.Errorf("%v: %+v", args, p.Info)
		}
		if _, mean := difference(t, pixels(p), magick(t, p, back, args...)); mean*255 > 0.6 {
			t.Errorf("%v: differs by %.2f steps in the mean", args, 255*mean)
		}
	}
	path := heifOf(t, "avif", bits8, "-y", "444", "-l")
	run(t, "exiftool", "-q", "-overwrite_original", "-n", "-Orientation=6", path)
	p := open(t, path)
	if got := codes(&p.Info); !slices.Equal(got, []string{CautionNoChecksum.Code, CautionEXIF.Code}) || !strings.Contains(p.Cautions[1].Text, "upright") {
		t.Errorf("EXIF alone: %v", p.Cautions)
	}
	if d, _ := difference(t, pixels(p), want); d > 0 {
		t.Errorf("EXIF alone: differs by %g", d)
	}
}

// The profile is kept byte for byte; without one the code points of H.273 count, here those of
// Display P3; high dynamic range is held.
func TestTheColoursOfAHEIF(t *testing.T) {
	for _, kind := range []string{"heic", "avif"} {
		path := heifOf(t, kind, append(bits8, "-profile", "/usr/share/color/icc/colord/AdobeRGB1998.icc"))
		p := open(t, path)
		if want := readFile(t, "/usr/share/color/icc/colord/AdobeRGB1998.icc"); !bytes.Equal(p.Profile, want) || !bytes.Equal(p.Profile, run(t, "exiftool", "-b", "-icc_profile", path)) {
			t.Errorf("%s: %d bytes of profile", kind, len(p.Profile))
		}
		if p.Stated.CICP != nil {
			t.Errorf("%s: code points beside a profile", kind)
		}
	}
	p := open(t, heifOf(t, "avif", bits8, "--cicp", "12/13/6"))
	if p.Stated.CICP == nil || *p.Stated.CICP != (CICP{12, 13}) || p.Stated.From != FromHEIF {
		t.Errorf("Display P3: %+v", p.Stated)
	}
	if _, err := Open(heifOf(t, "avif", bits16, "-d", "10", "--cicp", "9/16/9"), DefaultLimits()); !is(err, Unsupported) || !strings.Contains(err.Error(), "PQ") {
		t.Errorf("PQ: %v", err)
	}
}

// Of several pictures the main one is read, and a gain map is left out: both are said.
func TestWhatElseAHEIFHolds(t *testing.T) {
	dir := t.TempDir()
	one, two, both := filepath.Join(dir, "1.png"), filepath.Join(dir, "2.png"), filepath.Join(dir, "both.heic")
	run(t, "convert", marshFile(t, dir, 64, 64), one)
	run(t, "convert", one, "-negate", "-resize", "128x128!", two)
	run(t, "heif-enc", "-q", "90", one, two, "-o", both)
	p := open(t, both)
	if got := codes(&p.Info); !slices.Equal(got, []string{CautionNoChecksum.Code, CautionPages.Code}) || p.Width != 64 {
		t.Errorf("two pictures: %d px, %v", p.Width, got)
	}
	alpha := heifOf(t, "heic", append(bits8, "-alpha", "set", "-channel", "A", "-fx", "i/w", "+channel"))
	b := readFile(t, alpha)
	for _, urn := range []string{"urn:mpeg:hevc:2015:auxid:1", "urn:mpeg:mpegB:cicp:systems:auxiliary:alpha"} {
		gain := "urn:com:apple:photo:2020:aux:hdrgainmap"
		gain = gain[max(0, len(gain)-len(urn)):]
		b = bytes.Replace(b, []byte(urn), append([]byte(gain), make([]byte, len(urn)-len(gain))...), 1)
	}
	p = open(t, writeFile(t, alpha, b))
	if got := codes(&p.Info); !slices.Equal(got, []string{CautionNoChecksum.Code, CautionGainMap.Code}) {
		t.Errorf("a gain map: %v", got)
	}
}

// Without a program that decodes it a HEIF is held, with what to install; a plan says so too.
func TestWithoutADecoderAHEIFSaysWhatToInstall(t *testing.T) {
	installed := heifDecoder
	t.Cleanup(func() { heifDecoder = installed })
	if err := HEIFDecoder(); err != nil {
		t.Errorf("installed: %v", err)
	}
	heifDecoder = func() string { return "" }
	for name, try := range tries("testdata/marsh.heic") {
		if err := try(); !is(err, NoDecoder) || !strings.Contains(err.Error(), "libheif-examples") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := HEIFDecoder(); !is(err, NoDecoder) {
		t.Error(err)
	}
	decodedWith(t, "echo 'Could not read HEIF file: Unsupported feature: Unsupported codec' >&2; exit 1")
	if _, err := Open("testdata/marsh.heic", DefaultLimits()); !is(err, NoDecoder) {
		t.Errorf("a decoder without HEVC: %v", err)
	}
}

// decodedWith replaces libheif's program by a script until the test ends.
func decodedWith(t *testing.T, script string) {
	t.Helper()
	installed := heifDecoder
	t.Cleanup(func() { heifDecoder = installed })
	path := filepath.Join(t.TempDir(), "decoder")
	must(t, os.WriteFile(path, []byte("#!/bin/sh\n"+script+"\n"), 0o700))
	heifDecoder = func() string { return path }
}

// A program that leaves its PNG unpacked when told, as libheif's from 1.16 on, is told so, and gives
// a PNG of every sort.
func TestANewerDecoderIsToldNotToPack(t *testing.T) {
	path := heifOf(t, "heic", append(bits8, "-resize", "64x48!"), "-q", "90")
	decodedWith(t, `[ "$1 $2" = "--png-compression-level 0" ] && exec /usr/bin/heif-convert "$3" "$4"; exit 1`)
	p := open(t, path)
	if _, apart := p.YCC(); apart {
		t.Error("its luma and chroma are apart")
	}
	if d, _ := difference(t, pixels(p), decodedBy(t, p, path, "heif-convert")); d > 0 {
		t.Errorf("differs by %g", d)
	}
}

// What a decoder gives that is not the picture is never printed.
func TestADecoderThatGivesAnotherPicture(t *testing.T) {
	path := heifOf(t, "heic", append(bits8, "-resize", "64x48!"), "-q", "90")
	for given, want := range map[string]string{
		"":                                       "no picture came",
		"reed":                                   "no picture came",
		"YUV4MPEG2 W64 H48 F30:1\\nFRAME\\nreed": "no picture came",
		"YUV4MPEG2 W48 H64 F30:1\\nFRAME\\nreed": "says that it is 64 x 48 pixels and is 48 x 64",
		"YUV4MPEG2 W-1 H-1 F30:1\\nFRAME\\n":     "says that it is 64 x 48 pixels and is -1 x -1",
	} {
		decodedWith(t, `case "$2" in *.y4m) printf "`+given+`" > "$2";; esac`)
		if _, err := Open(path, DefaultLimits()); !is(err, Damaged) || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", given, err)
		}
	}
}

// Cut, zero or with changed lengths, a HEIF is not whole and is damaged. Neither HEVC nor AV1 has
// a checksum: how many changed bits nobody finds is logged, beside what libheif finds.
func TestDamagedHEIFs(t *testing.T) {
	for _, kind := range []string{"heic", "avif"} {
		path := heifOf(t, kind, bits8)
		whole := readFile(t, path)
		f, err := os.Open(path)
		must(t, err)
		defer f.Close()
		if err := ended(whole, DefaultLimits()); err != nil {
			t.Errorf("%s: %v", kind, err)
		}
		for _, n := range []int{50, 200, len(whole) / 2, len(whole) - 1} {
			if err := ended(whole[:n], DefaultLimits()); !isUnended(err) {
				t.Errorf("%s cut to %d of %d: %v", kind, n, len(whole), err)
			}
			if _, err := Open(writeFile(t, path, whole[:n]), DefaultLimits()); !is(err, Damaged) {
				t.Errorf("%s cut to %d of %d: %v", kind, n, len(whole), err)
			}
			set := append(bytes.Clone(whole[:n]), make([]byte, len(whole)-n)...)
			if err := ended(set, DefaultLimits()); n < len(whole)-tailBytes && !isUnended(err) {
				t.Errorf("%s zero from %d of %d: %v", kind, n, len(whole), err)
			}
		}
		zeros := bytes.Clone(whole)
		clear(zeros[len(whole)*2/3:][:zerosOdd])
		if p, err := Open(writeFile(t, path, zeros), DefaultLimits()); err == nil && !slices.Contains(codes(&p.Info), CautionChanged.Code) {
			t.Errorf("%s, %d zeros: nothing is said", kind, zerosOdd)
		}
		found := 0
		for n := range 12 {
			b := bytes.Clone(whole)
			b[len(b)/3+n*len(b)/20] ^= 1 << (n % 8)
			if p, err := Open(writeFile(t, path, b), DefaultLimits()); err != nil || len(p.Cautions) > 1 {
				found++
			}
		}
		t.Logf("%s: %d of 12 changed bits found", kind, found)
	}
}
