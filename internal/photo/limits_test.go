package photo

import (
	"bytes"
	"image"
	"image/png"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"
)

// limitTest is a file that meets one limit: at `at` it is read, and one less makes a
// difference, which is `without`: an error's kind, a caution's code, or a word of
// what then is missing.
type limitTest struct {
	limit   string // field of Limits
	file    []byte
	at      int64
	without string
}

func limitTests(t *testing.T) []limitTest {
	dir := t.TempDir()
	var grey bytes.Buffer
	must(t, png.Encode(&grey, image.NewGray(image.Rect(0, 0, 30, 20))))
	const afterHeader = 8 + 12 + 13
	with := func(name, data string) []byte {
		return slices.Concat(grey.Bytes()[:afterHeader], makeChunk(name, data), grey.Bytes()[afterHeader:])
	}
	exif := string(tiffBlock(0, makeReed))
	progressive := filepath.Join(dir, "p.jpg")
	run(t, "convert", marshFile(t, dir, 40, 30), "-depth", "8", "-interlace", "JPEG", progressive)
	scans := int64(len(scanStarts(readFile(t, progressive))))
	pointed := greyTIFF(long(tagEXIF, 8))
	return []limitTest{
		{"MaxFileBytes", grey.Bytes(), int64(grey.Len()), "too-large"},
		{"MaxPixels", grey.Bytes(), 600, "too-large"},
		{"MaxSide", grey.Bytes(), 30, "too-large"},
		{"MaxDecodeBytes", grey.Bytes(), 600, "too-large"},
		{"MaxProfileBytes", with("iCCP", "p\x00\x00"+string(deflated(make([]byte, 500)))), 500, CautionProfile.Code},
		{"MaxEXIFBytes", with("eXIf", exif), int64(len(exif)), CautionEXIF.Code},
		{"MaxTextBytes", with("eXIf", exif), int64(len("Reed")), "Reed"},
		{"MaxIFDEntries", pointed, 9, "damaged"},
		{"MaxDirectories", pointed, 2, CautionEXIF.Code},
		{"MaxSegments", grey.Bytes(), 3, "damaged"},
		{"MaxScans", readFile(t, progressive), scans, "too-large"},
		{"MaxBlocks", greyTIFF(long(tagRowsPerStrip, 4)), 1, "too-large"},
	}
}

// Every limit reads what is as large as it and makes a difference one step below.
func TestEveryLimit(t *testing.T) {
	tested := map[string]bool{
		"MaxExpansion":   true, // TestExpansion: no small file reaches it
		"MaxDecodeTime":  true, // package isolate
		"MaxMemoryBytes": true,
	}
	for _, tt := range limitTests(t) {
		tested[tt.limit] = true
		path := writeFile(t, filepath.Join(t.TempDir(), "a"), tt.file)
		if said := outcome(path, limited(tt.limit, tt.at)); said == tt.without || strings.Contains(said, tt.without) != (tt.without == "Reed") {
			t.Errorf("%s of %d: %s", tt.limit, tt.at, said)
		}
		if said := outcome(path, limited(tt.limit, tt.at-1)); strings.Contains(said, tt.without) == (tt.without == "Reed") {
			t.Errorf("%s of %d: %s", tt.limit, tt.at-1, said)
		}
	}
	for _, f := range reflect.VisibleFields(reflect.TypeFor[Limits]()) {
		if !tested[f.Name] {
			t.Errorf("%s is not tested", f.Name)
		}
	}
}

// limited is the default but for one limit.
func limited(name string, value int64) Limits {
	lim := DefaultLimits()
	reflect.ValueOf(&lim).Elem().FieldByName(name).SetInt(value)
	return lim
}

// outcome is what comes of a file: an error's kind, or cautions and what EXIF says.
func outcome(path string, lim Limits) string {
	p, err := Open(path, lim)
	if err == nil {
		return strings.Join(append(codes(&p.Info), p.EXIF.Make), " ")
	}
	return err.(*Error).Code
}

// A file may unpack to so many times its length once it is large. Below that even
// nothing but white is read.
func TestExpansion(t *testing.T) {
	lim := DefaultLimits()
	const side = 10_000
	fits := demand{side, side, 3, 3, side * side * 3 / int64(lim.MaxExpansion), 0}
	if err := lim.check(fits); err != nil {
		t.Error(err)
	}
	bomb := fits
	bomb.file--
	if err := lim.check(bomb); !is(err, TooLarge) {
		t.Errorf("one byte less: %v", err)
	}
	small := demand{side, expansionFree / side, 1, 1, 100, 0}
	if err := lim.check(small); err != nil {
		t.Error(err)
	}
}

// A file's time is for its pixels and for a slow disk: 8 MiB a second.
func TestTimeFor(t *testing.T) {
	lim := Limits{MaxDecodeTime: time.Minute}
	for bytes, want := range map[int64]time.Duration{0: time.Minute, 80 << 20: 70 * time.Second, 2 << 30: 316 * time.Second} {
		if got := lim.TimeFor(bytes); got != want {
			t.Errorf("%d bytes: %v, want %v", bytes, got, want)
		}
	}
}

// Directories that point at each other are read as often as the limit says.
func TestDirectoriesInACircle(t *testing.T) {
	block := tiffBlock(0, "\x69\x87\x04\x00\x01\x00\x00\x00\x08\x00\x00\x00") // EXIF is this very directory
	in := &Info{}
	if err := in.readEXIF(block, limited("MaxDirectories", 2)); err != nil {
		t.Error(err)
	}
	b, _, err := openTIFF(bytes.NewReader(block), int64(len(block)), limited("MaxDirectories", 5))
	if err != nil {
		t.Fatal(err)
	}
	read := 0
	for ; err == nil; read++ {
		_, err = b.directory(8)
	}
	if read != 6 {
		t.Errorf("ended at %d: %v", read, err)
	}
}
