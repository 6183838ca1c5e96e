package photo

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// What a PNG's colour chunks say is kept as they say it, and ExifTool reads the same
// numbers from the same file.
func TestPNGColourChunksAreKept(t *testing.T) {
	path := filepath.Join(t.TempDir(), "v.png")
	whole := readFile(t, marshFile(t, filepath.Dir(path), 20, 20))
	chunks := slices.Concat(makeChunk("cICP", "\x09\x0e\x00\x01"), makeChunk("gAMA", "\x00\x00\xd9\x04"),
		makeChunk("cHRM", "\x00\x00\x87\x0a\x00\x00\x8c\x0a\x00\x01\x1e\xfe\x00\x00\x67\xa2\x00\x00\x3e\x58\x00\x01\x48\x48\xff\xff\xff\xf6\x00\x00\x00\x0a"))
	const afterHeader = 8 + 12 + 13
	s := open(t, writeFile(t, path, slices.Concat(whole[:afterHeader], chunks, whole[afterHeader:]))).Stated
	want := Primaries{White: [2]float64{0.3457, 0.3585}, Red: [2]float64{0.7347, 0.26530}, Green: [2]float64{0.15960, 0.84040}, Blue: [2]float64{-0.0001, 0.0001}}
	if s.CICP == nil || *s.CICP != (CICP{9, 14}) || s.Gamma != 100000./55556 || s.From != FromPNG || s.SRGB {
		t.Errorf("%+v", s)
	}
	if *s.Primaries != want {
		t.Errorf("primaries %v, want %v", *s.Primaries, want)
	}
	var got [5]float64
	said := string(run(t, "exiftool", "-s3", "-n", "-Gamma", "-WhitePointX", "-WhitePointY", "-RedX", "-GreenY", path))
	fmt.Sscan(said, &got[0], &got[1], &got[2], &got[3], &got[4])
	if math.Abs(got[0]-s.Gamma) > 1e-4 || got[1] != want.White[0] || got[2] != want.White[1] || got[3] != want.Red[0] || got[4] != want.Green[1] {
		t.Errorf("ExifTool says %q", said)
	}
}

// PNG, 5.6: colour chunks come before the palette and the picture. libpng leaves out what
// lies elsewhere; so it is here, but with a word. A flood of them says it once.
func TestPNGColourChunksOutOfPlace(t *testing.T) {
	dir := t.TempDir()
	whole := readFile(t, marshFile(t, dir, 20, 20))
	late := len(whole) - 12 // before IEND
	for name, data := range map[string]string{"cICP": "\x0c\x0d\x00\x01", "sRGB": "\x00", "gAMA": "\x00\x00\xb1\x8f", "cHRM": strings.Repeat("\x00\x00\x7a\x26", 8), "iCCP": "p\x00\x00" + string(deflated([]byte("profile")))} {
		chunks := bytes.Repeat(makeChunk(name, data), 50)
		p := open(t, writeFile(t, filepath.Join(dir, "v.png"), slices.Concat(whole[:late], chunks, whole[late:])))
		if got := codes(&p.Info); p.Stated != (Stated{}) || p.Profile != nil || !slices.Equal(got, []string{CautionColours.Code, CautionColours.Code}) {
			t.Errorf("%s: %+v, cautions %v", name, p.Stated, got)
		}
	}
	// PQ is held wherever its chunk lies: it is no word on how to show the picture, it is what the picture is.
	hdr := writeFile(t, filepath.Join(dir, "v.png"), slices.Concat(whole[:late], makeChunk("cICP", "\x09\x10\x00\x01"), whole[late:]))
	if _, err := Identify(hdr, DefaultLimits()); !errors.Is(err, Unsupported) {
		t.Errorf("PQ after the picture: %v", err)
	}
}
