package photo

import (
	"bytes"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// A JPEG decodes to the pixels that libjpeg (by way of ImageMagick) makes of
// it. The two inverse DCTs may each be one step apart in Y, Cb and Cr; through
// ITU-T T.871's largest coefficient (1.772) and rounding to a whole step that
// allows 1 + 1.772 + 0.5 = 3.3 steps of 255. On average they are under half a
// step apart, which is libjpeg's own rounding.
func TestJPEGDecodesAsLibjpegDoes(t *testing.T) {
	const step = 1.0 / 255
	dir := t.TempDir()
	base := marshFile(t, dir, 151, 101)
	tests := []struct {
		name    string
		args    []string
		model   Model
		largest float64 // in steps of 255
		mean    float64
	}{
		{"grey", []string{"-colorspace", "Gray"}, Grey, 1.01, 0.1},
		{"4:4:4", []string{"-sampling-factor", "1x1"}, RGB, 3.3, 0.5},
		{"4:2:0", []string{"-sampling-factor", "2x2"}, RGB, 3.8, 0.5},
		{"4:2:2", []string{"-sampling-factor", "2x1"}, RGB, 3.8, 0.5},
		{"4:4:0", []string{"-sampling-factor", "1x2"}, RGB, 3.8, 0.5},
		{"4:2:0 progressive", []string{"-sampling-factor", "2x2", "-interlace", "JPEG"}, RGB, 3.8, 0.5},
		{"4:4:4 progressive", []string{"-sampling-factor", "1x1", "-interlace", "JPEG"}, RGB, 3.3, 0.5},
		// libjpeg repeats chroma this coarse; here it is interpolated, so only the mean can agree.
		{"4:1:1", []string{"-sampling-factor", "4x1"}, RGB, 255, 3},
		{"YCCK", []string{"-colorspace", "CMYK"}, CMYK, 3.3, 0.5},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			path := filepath.Join(dir, "v.jpg")
			run(t, "convert", slices.Concat([]string{base, "-depth", "8", "-quality", "92"}, tt.args, []string{path})...)
			p := open(t, path)
			if p.Model != tt.model || p.Format != "JPEG" || p.Bits != 8 || p.Cautions != nil {
				t.Errorf("read as %s %s of %d bits with cautions %v", p.Model, p.Format, p.Bits, p.Cautions)
			}
			largest, mean := difference(t, pixels(p), magick(t, p, path))
			if largest > tt.largest*step || mean > tt.mean*step {
				t.Errorf("differs from libjpeg by at most %.2f and on average %.3f steps of 255, want at most %.2f and %.3f",
					largest/step, mean/step, tt.largest, tt.mean)
			}
		})
	}
}

// CMYK as separate inks, Adobe's inverted way, which libvips writes. 1 is full
// ink: the darkest corner must not come out lightest.
func TestCMYKJPEGCountsInkUpwards(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "inks.jpg")
	tiff := filepath.Join(dir, "inks.tif")
	run(t, "convert", marshFile(t, dir, 90, 60), "-colorspace", "CMYK", "-depth", "8", tiff)
	run(t, "vips", "jpegsave", tiff, path, "--Q", "98", "--subsample-mode", "off")
	p, want := open(t, path), open(t, tiff)
	if p.Model != CMYK || want.Model != CMYK {
		t.Fatalf("read as %s and %s", p.Model, want.Model)
	}
	// Against the uncompressed inks: only what the JPEG lost may differ.
	if _, mean := difference(t, pixels(p), pixels(want)); mean > 2.0/255 {
		t.Errorf("inks differ from the TIFF's by %.2f steps of 255 on average", mean*255)
	}
	if largest, _ := difference(t, pixels(p), magick(t, p, path)); largest > 1.01/255 {
		t.Errorf("inks differ from libjpeg's by %.2f steps of 255", largest*255)
	}
}

// A JPEG whose Adobe marker says "no transform" holds red, green and blue.
func TestAdobeRGBJPEG(t *testing.T) {
	dir := t.TempDir()
	ycc := filepath.Join(dir, "ycc.jpg")
	run(t, "convert", marshFile(t, dir, 64, 40), "-depth", "8", "-sampling-factor", "1x1", "-quality", "95", "+profile", "*", ycc)
	// Relabelled, the same planes become colours directly.
	path := writeFile(t, filepath.Join(dir, "rgb.jpg"), relabelAsRGB(t, readFile(t, ycc)))
	p := open(t, path)
	if p.Model != RGB || p.ycc {
		t.Fatalf("read as %s, luma and chroma: %v", p.Model, p.ycc)
	}
	if largest, _ := difference(t, pixels(p), magick(t, p, path)); largest > 1.01/255 {
		t.Errorf("differs from libjpeg by %.2f steps of 255", largest*255)
	}
}

// Four channels without an Adobe marker do not say which way ink is counted. A
// guess would print half of such files as negatives.
func TestUnlabelledInksAreNotGuessed(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "inks.jpg")
	run(t, "convert", marshFile(t, dir, 32, 32), "-colorspace", "CMYK", "-depth", "8", path)
	b := readFile(t, path)
	at := bytes.Index(b, []byte("\xff\xee"))
	writeFile(t, path, slices.Concat(b[:at], b[at+16:]))
	for name, try := range tries(path) {
		if err := try(); !is(err, Unsupported) || !strings.Contains(err.Error(), "ink") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// relabelAsRGB replaces the JFIF segment by an Adobe one of transform 0.
func relabelAsRGB(t *testing.T, jpeg []byte) []byte {
	t.Helper()
	adobe := []byte("\xff\xee\x00\x0eAdobe\x00\x64\x00\x00\x00\x00\x00")
	if !bytes.HasPrefix(jpeg, []byte("\xff\xd8\xff\xe0")) {
		t.Fatal("no JFIF segment")
	}
	after := 4 + int(jpeg[4])<<8 + int(jpeg[5])
	return slices.Concat(jpeg[:2], adobe, jpeg[after:])
}

// Every way a copy can stop short is damage, also when the picture is all there
// and only the end marker is missing, and when a scan is lost altogether.
func TestCutJPEGsAreDamaged(t *testing.T) {
	dir := t.TempDir()
	base := marshFile(t, dir, 80, 60)
	baseline, progressive := filepath.Join(dir, "b.jpg"), filepath.Join(dir, "p.jpg")
	run(t, "convert", base, "-depth", "8", baseline)
	run(t, "convert", base, "-depth", "8", "-interlace", "JPEG", progressive)
	for _, path := range []string{baseline, progressive} {
		whole := readFile(t, path)
		for _, keep := range []int{len(whole) - 1, len(whole) - 2, len(whole) * 9 / 10, len(whole) / 2, 700, 30, 3} {
			cut := writeFile(t, filepath.Join(dir, "cut.jpg"), whole[:keep])
			if _, err := Open(cut, DefaultLimits()); !is(err, Damaged) {
				t.Errorf("%s cut to %d of %d bytes: %v", filepath.Base(path), keep, len(whole), err)
			}
		}
		ended := writeFile(t, filepath.Join(dir, "ended.jpg"), append(slices.Clone(whole[:len(whole)/2]), 0xff, 0xd9))
		_, err := Open(ended, DefaultLimits())
		if path == baseline && !is(err, Damaged) {
			t.Errorf("cut in half and given an end marker: %v", err)
		}
	}
}

// scanStarts finds the offsets of the scan headers.
func scanStarts(jpeg []byte) (starts []int) {
	for i := 2; i+1 < len(jpeg); i++ {
		if jpeg[i] == 0xff && jpeg[i+1] == markerSOS {
			starts = append(starts, i)
		}
	}
	return starts
}

// A progressive JPEG that was ended after a whole number of passes decodes
// without complaint, only softer. That must be said; and if not every colour
// has come, the picture is wrong and is refused.
func TestProgressiveJPEGWithoutItsLastPasses(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "p.jpg")
	run(t, "convert", marshFile(t, dir, 80, 60), "-depth", "8", "-interlace", "JPEG", "+profile", "*", path)
	whole := readFile(t, path)
	starts := scanStarts(whole)
	if len(starts) < 4 {
		t.Fatalf("only %d scans", len(starts))
	}
	early := writeFile(t, filepath.Join(dir, "early.jpg"), append(slices.Clone(whole[:starts[len(starts)-1]]), 0xff, 0xd9))
	if got := codes(&open(t, early).Info); !slices.Equal(got, []string{CautionUnfinished.Code}) {
		t.Errorf("without its last pass: cautions %v", got)
	}
	none := writeFile(t, filepath.Join(dir, "none.jpg"), append(slices.Clone(whole[:starts[0]]), 0xff, 0xd9))
	if _, err := Open(none, DefaultLimits()); !is(err, Damaged) {
		t.Errorf("without any pass: %v", err)
	}
}

// A scan costs time for every pixel and hardly any bytes, so their number is
// limited before the decoder sees them.
func TestTooManyScans(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "p.jpg")
	run(t, "convert", marshFile(t, dir, 40, 30), "-depth", "8", "-interlace", "JPEG", path)
	lim := DefaultLimits()
	lim.MaxScans = 3
	if _, err := Open(path, lim); !is(err, TooLarge) {
		t.Errorf("got %v", err)
	}
}
