package photo

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image/jpeg"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	goexif "github.com/rwcarlsen/goexif/exif"
)

// cameraSamples lists the EXIF samples of many cameras that the goexif module
// carries. Most have had their picture cut away, so each one's EXIF is put
// before a generated picture.
func cameraSamples(t *testing.T, pattern string) (paths []string) {
	t.Helper()
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/rwcarlsen/goexif").Output()
	if err != nil {
		t.Fatal(err)
	}
	samples, err := filepath.Glob(filepath.Join(strings.TrimSpace(string(out)), "exif", pattern))
	if err != nil || len(samples) == 0 {
		t.Fatalf("no samples %s: %v", pattern, err)
	}
	var picture bytes.Buffer
	if err := jpeg.Encode(&picture, marsh16(48, 32), nil); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for _, s := range samples {
		b := withEXIFOf(readFile(t, s), picture.Bytes())
		paths = append(paths, writeFile(t, filepath.Join(dir, filepath.Base(s)), b))
	}
	return paths
}

// withEXIFOf puts the first APP1 segment of sample into picture.
func withEXIFOf(sample, picture []byte) []byte {
	at := bytes.Index(sample, []byte("\xff\xe1"))
	end := min(at+2+int(sample[at+2])<<8+int(sample[at+3]), len(sample))
	return slices.Concat(picture[:2], sample[at:end], picture[2:])
}

// askExifTool returns ExifTool's word on each file, with numbers as stored, by
// "directory:tag".
func askExifTool(t *testing.T, paths []string) map[string]map[string]any {
	t.Helper()
	args := []string{"-json", "-G1", "-n", "-fast", "-Make", "-Model", "-Orientation", "-Artist", "-Copyright",
		"-DateTimeOriginal", "-LensModel", "-ISO", "-ColorSpace", "-InteropIndex", "-ImageWidth", "-ImageHeight"}
	var all []map[string]any
	if err := json.Unmarshal(run(t, "exiftool", append(args, paths...)...), &all); err != nil {
		t.Fatal(err)
	}
	byFile := map[string]map[string]any{}
	for _, x := range all {
		byFile[text(x["SourceFile"])] = x
	}
	return byFile
}

// Every camera's EXIF reads as ExifTool reads it.
func TestCamerasAgreeWithExifTool(t *testing.T) {
	paths := cameraSamples(t, "samples/*.jpg")
	if len(paths) < 50 {
		t.Fatalf("only %d samples", len(paths))
	}
	told := askExifTool(t, paths)
	for _, path := range paths {
		p, x := open(t, path), told[path]
		width, height := number(x["File:ImageWidth"]), number(x["File:ImageHeight"])
		if p.Orientation >= 5 {
			width, height = height, width
		}
		const all = "%q %q %q %q %q %q orientation %d ISO %d colour space %d %q %dx%d"
		got := fmt.Sprintf(all, p.EXIF.Make, p.EXIF.Camera, p.EXIF.Lens, p.EXIF.Artist, p.EXIF.Copyright, p.EXIF.DateTimeOriginal,
			p.Orientation, p.EXIF.ISO, p.EXIF.ColourSpace, p.EXIF.InteropIndex, p.Width, p.Height)
		want := fmt.Sprintf(all, text(x["IFD0:Make"], x["ExifIFD:Make"]), text(x["IFD0:Model"], x["ExifIFD:Model"]),
			text(x["ExifIFD:LensModel"]), text(x["IFD0:Artist"]), text(x["IFD0:Copyright"]), date(x["ExifIFD:DateTimeOriginal"]),
			max(1, number(x["IFD0:Orientation"])), number(x["ExifIFD:ISO"]), number(x["ExifIFD:ColorSpace"]),
			text(x["InteropIFD:InteropIndex"]), width, height)
		if got != want {
			t.Errorf("%s:\n     got %s\nExifTool %s", filepath.Base(path), got, want)
		}
		if p.Cautions != nil {
			t.Errorf("%s: cautions %v", filepath.Base(path), p.Cautions)
		}
	}
}

// text, number and date read ExifTool's JSON, where a text of digits is a
// number. text takes the first value that says anything.
func text(values ...any) string {
	for _, v := range values {
		if v != nil && strings.TrimSpace(fmt.Sprint(v)) != "" {
			return strings.TrimSpace(fmt.Sprint(v))
		}
	}
	return ""
}

func number(v any) int {
	f, _ := v.(float64)
	return int(f)
}

func date(v any) string {
	if _, err := time.Parse(exifTime, text(v)); err != nil {
		return ""
	}
	return text(v)
}

// goexif is a third reader; where it can read a sample, it agrees.
func TestCamerasAgreeWithGoexif(t *testing.T) {
	for _, path := range cameraSamples(t, "samples/*.jpg") {
		x, err := goexif.Decode(bytes.NewReader(readFile(t, path)))
		if err != nil && goexif.IsCriticalError(err) {
			t.Errorf("%s: goexif: %v", filepath.Base(path), err)
			continue
		}
		in, err := Identify(path, DefaultLimits())
		if err != nil {
			t.Error(err)
			continue
		}
		for name, got := range map[goexif.FieldName]string{goexif.Make: in.EXIF.Make, goexif.Model: in.EXIF.Camera, goexif.LensModel: in.EXIF.Lens} {
			want := ""
			if tag, err := x.Get(name); err == nil {
				want, _ = tag.StringVal()
			}
			if got != cleanText([]byte(want), DefaultLimits().MaxTextBytes) {
				t.Errorf("%s: %s %q, goexif %q", filepath.Base(path), name, got, want)
			}
		}
	}
}

// EXIF that makes careless readers loop or allocate without end costs nothing
// here, and what can be read of it is.
func TestCorruptEXIF(t *testing.T) {
	for _, path := range cameraSamples(t, "corrupt/*.jpg") {
		p := open(t, path)
		t.Logf("%s: orientation %d, %+v, cautions %v", filepath.Base(path), p.Orientation, p.EXIF, codes(&p.Info))
		if d, _ := difference(t, pixels(p)[:3], []float32{0.8, 0.2, 0.2}); d > 0.1 && p.Orientation == 1 {
			t.Errorf("%s: the picture itself changed", path)
		}
	}
}

// tiffBlock builds a little-endian directory at offset 8 from raw entries.
func tiffBlock(next uint32, entries ...string) []byte {
	b := []byte("II*\x00\x08\x00\x00\x00")
	b = append(b, byte(len(entries)), byte(len(entries)>>8))
	for _, e := range entries {
		b = append(b, e...)
	}
	return append(b, byte(next), byte(next>>8), byte(next>>16), byte(next>>24))
}

// withEXIF puts an EXIF block of up to 64 KiB into a JPEG.
func withEXIF(picture, block []byte) []byte {
	n := 2 + len(exifHead) + len(block)
	return slices.Concat(picture[:2], []byte{0xff, markerAPP1, byte(n >> 8), byte(n)}, []byte(exifHead), block, picture[2:])
}

const (
	orientation6 = "\x12\x01\x03\x00\x01\x00\x00\x00\x06\x00\x00\x00"
	makeReed     = "\x0f\x01\x02\x00\x04\x00\x00\x00Reed"
)

// One bad entry costs itself only: above all the orientation survives.
func TestBadEXIFEntriesCostThemselvesOnly(t *testing.T) {
	tests := []struct {
		name    string
		block   []byte
		bad     bool
		upright int
		maker   string
	}{
		{"whole", tiffBlock(0, makeReed, orientation6), false, 6, "Reed"},
		{"next directory is itself", tiffBlock(8, makeReed, orientation6), false, 6, "Reed"},
		{"EXIF directory is IFD0", tiffBlock(0, makeReed, orientation6, "\x69\x87\x04\x00\x01\x00\x00\x00\x08\x00\x00\x00"), false, 6, "Reed"},
		{"no values", tiffBlock(0, "\x0f\x01\x02\x00\x00\x00\x00\x00\x00\x00\x00\x00", orientation6), false, 6, ""},
		{"count wraps round", tiffBlock(0, "\x0f\x01\x05\x00\x01\x00\x00\x20\x00\x00\x00\x00", orientation6), true, 6, ""},
		{"count of 4 GiB", tiffBlock(0, "\x0f\x01\x02\x00\xff\xff\xff\xff\x00\x00\x00\x00", orientation6), true, 6, ""},
		{"value outside", tiffBlock(0, "\x0f\x01\x02\x00\x10\x00\x00\x00\xff\xff\xff\xff", orientation6), true, 6, ""},
		{"EXIF directory outside", tiffBlock(0, makeReed, orientation6, "\x69\x87\x04\x00\x01\x00\x00\x00\xff\xff\xff\x7f"), true, 6, "Reed"},
		{"orientation is a text", tiffBlock(0, makeReed, "\x12\x01\x02\x00\x01\x00\x00\x00\x06\x00\x00\x00"), true, 1, "Reed"},
		{"orientation 9", tiffBlock(0, makeReed, "\x12\x01\x03\x00\x01\x00\x00\x00\x09\x00\x00\x00"), true, 1, "Reed"},
		{"orientation 0", tiffBlock(0, makeReed, "\x12\x01\x03\x00\x01\x00\x00\x00\x00\x00\x00\x00"), false, 1, "Reed"},
		{"not TIFF", []byte("nothing of the kind"), true, 1, ""},
		{"cut", tiffBlock(0, makeReed, orientation6)[:20], true, 1, ""},
		{"empty", nil, true, 1, ""},
	}
	for _, tt := range tests {
		in := &Info{Orientation: 1}
		err := in.readEXIF(tt.block, DefaultLimits())
		if (err != nil) != tt.bad || in.Orientation != tt.upright || in.EXIF.Make != tt.maker {
			t.Errorf("%s: error %v, orientation %d, maker %q", tt.name, err, in.Orientation, in.EXIF.Make)
		}
	}
}

// What EXIF says of colour, by CIPA DC-008 (ColorSpace) and DCF 2.0 (R03: the
// optional colour space, Adobe RGB (1998) primaries).
func TestColourHint(t *testing.T) {
	tests := []struct {
		space   int
		interop string
		want    string
	}{
		{0, "", ""}, {1, "", HintSRGB}, {1, "R98", HintSRGB},
		{65535, "", ""}, {65535, "R98", ""}, {65535, "R03", HintA98}, {0, "R03", HintA98},
		{2, "", HintA98}, {2, "R98", HintA98}, {1, "R03", HintSRGB}, {65534, "", ""},
	}
	for _, tt := range tests {
		in := Info{EXIF: EXIF{ColourSpace: tt.space, InteropIndex: tt.interop}}
		if in.coloursFromEXIF(); in.ColourHint != tt.want {
			t.Errorf("colour space %d, index %q: %q, want %q", tt.space, tt.interop, in.ColourHint, tt.want)
		}
	}
}

func TestCleanText(t *testing.T) {
	tests := []struct{ raw, want string }{
		{"Heron 2\x00", "Heron 2"},
		{"  Heron 2   \x00\x00", "Heron 2"},
		{"Heron\x07 2\r\n", `Heron\a 2`},
		{"\x00\x00", ""},
		{" \x00T. Reed\x00", "T. Reed"}, // no photographer, an editor: DC-008, Copyright
		{"T. Reed\x00Press\x00", "T. Reed"},
		{"\xa9 T. Reed", "© T. Reed"},          // Latin-1
		{"© T. Reed", "© T. Reed"},             // UTF-8
		{"a\u202eb\u200bc", `a\u202eb\u200bc`}, // marks that nobody sees
		{"salt\tmarsh", "salt marsh"},
		{strings.Repeat("é", 20), strings.Repeat("é", 8)}, // 16 bytes
		{"a" + strings.Repeat("é", 20), "a" + strings.Repeat("é", 7)},
	}
	for _, tt := range tests {
		if got := cleanText([]byte(tt.raw), 16); got != tt.want || !utf8.ValidString(got) {
			t.Errorf("%q becomes %q, want %q", tt.raw, got, tt.want)
		}
	}
}

// TIFF 6.0 section 20 and CIPA DC-008 (EXIF): a tone curve in a tag is not read, and a
// gamma of 0 is none; both are said, unless a profile says what holds.
func TestUnreadToneIsCautionedOf(t *testing.T) {
	const curve = "\x2d\x01\x03\x00\x02\x00\x00\x00\x00\x00\xff\xff"
	gamma := tiffBlock(0, "\x69\x87\x04\x00\x01\x00\x00\x00\x1a\x00\x00\x00")
	gamma = append(gamma, "\x01\x00\x00\xa5\x05\x00\x01\x00\x00\x00\x2c\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00"...)
	for name, block := range map[string][]byte{"TransferFunction": tiffBlock(0, curve), "Gamma": gamma} {
		for _, profile := range [][]byte{nil, []byte("profile")} {
			in := &Info{Orientation: 1, Format: formatJPEG, Profile: profile}
			if err := in.readEXIF(block, DefaultLimits()); err != nil {
				t.Fatal(name, err)
			}
			in.coloursFromEXIF()
			if said := len(in.Cautions) == 1 && in.Cautions[0].Code == CautionColours.Code && strings.Contains(in.Cautions[0].Text, name); said != (profile == nil) {
				t.Errorf("%s, profile %q: %v", name, profile, in.Cautions)
			}
		}
	}
}
