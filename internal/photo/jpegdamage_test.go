package photo

import (
	"bytes"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sizewright/internal/testkit/reference"
)

// jpegSegment is a marker segment, and for a scan its coded data.
type jpegSegment struct {
	marker  byte
	payload []byte
	coded   []byte
}

// jpegParts takes a JPEG apart, from after SOI up to EOI.
func jpegParts(t *testing.T, b []byte) (parts []jpegSegment) {
	t.Helper()
	for b = b[2:]; b[1] != markerEOI; {
		length := int(b[2])<<8 + int(b[3])
		s := jpegSegment{marker: b[1], payload: bytes.Clone(b[4 : 2+length])}
		b = b[2+length:]
		if s.marker == markerSOS {
			n := 0
			for b[n] != 0xff || b[n+1] == 0 || b[n+1] >= markerRST0 && b[n+1] <= markerRST7 {
				n++
			}
			s.coded, b = bytes.Clone(b[:n]), b[n:]
		}
		parts = append(parts, s)
	}
	return parts
}

func jpegOf(parts []jpegSegment) []byte {
	b := []byte{0xff, 0xd8}
	for _, s := range parts {
		n := len(s.payload) + 2
		b = append(append(b, 0xff, s.marker, byte(n>>8), byte(n)), s.payload...)
		b = append(b, s.coded...)
	}
	return append(b, 0xff, markerEOI)
}

// Changes of a JPEG's parts, which the tests below combine.

type change = func([]jpegSegment) []jpegSegment

func at(parts []jpegSegment, marker byte, n int) int {
	for i, s := range parts {
		if s.marker == marker {
			if n == 0 {
				return i
			}
			n--
		}
	}
	panic("no such segment")
}

// drop leaves out the n-th segment of a kind, all for -1.
func drop(marker byte, n int) change {
	return func(p []jpegSegment) []jpegSegment {
		if n >= 0 {
			i := at(p, marker, n)
			return slices.Delete(p, i, i+1)
		}
		return slices.DeleteFunc(p, func(s jpegSegment) bool { return s.marker == marker })
	}
}

// set changes a byte of the payload of the n-th segment of a kind.
func set(marker byte, n, byteAt int, v byte) change {
	return func(p []jpegSegment) []jpegSegment {
		p[at(p, marker, n)].payload[byteAt] = v
		return p
	}
}

func insert(before byte, n int, s ...jpegSegment) change {
	return func(p []jpegSegment) []jpegSegment { return slices.Insert(p, at(p, before, n), s...) }
}

// coded changes the coded data of the n-th scan.
func coded(n int, f func([]byte) []byte) change {
	return func(p []jpegSegment) []jpegSegment {
		i := at(p, markerSOS, n)
		p[i].coded = f(p[i].coded)
		return p
	}
}

func adding(b ...byte) func([]byte) []byte {
	return func(c []byte) []byte { return append(c, b...) }
}

// all makes changes one after another.
func all(changes ...change) change {
	return func(p []jpegSegment) []jpegSegment {
		for _, c := range changes {
			p = c(p)
		}
		return p
	}
}

// bytesBetween puts two bytes that are part of nothing before the tables. They are
// taken for coded data of the segment before, which has none.
func bytesBetween(p []jpegSegment) []jpegSegment {
	p[0].coded = []byte{7, 8}
	return p
}

// libjpegSays is what libjpeg's djpeg says of a file on standard error.
func libjpegSays(t testing.TB, file []byte) string {
	t.Helper()
	cmd := exec.Command(reference.Tool(t, "djpeg"), "-outfile", "/dev/null")
	cmd.Stdin = bytes.NewReader(file)
	out, _ := cmd.CombinedOutput()
	return strings.TrimSpace(string(out))
}

// magickOf is the generated picture as a JPEG by ImageMagick.
func magickOf(t *testing.T, args ...string) []byte {
	t.Helper()
	return run(t, "convert", slices.Concat([]string{marshFile(t, t.TempDir(), 83, 61), "-depth", "8"}, args, []string{"jpg:-"})...)
}

// cjpegOf is the generated picture by libjpeg's cjpeg.
func cjpegOf(t *testing.T, scans string, args ...string) []byte {
	t.Helper()
	dir := t.TempDir()
	ppm := filepath.Join(dir, "marsh.ppm")
	run(t, "convert", marshFile(t, dir, 83, 61), "-depth", "8", ppm)
	if scans != "" {
		args = append(args, "-scans", writeFile(t, filepath.Join(dir, "scans"), []byte(scans)))
	}
	return run(t, "cjpeg", append(args, ppm)...)
}

// What is wrong with a JPEG's structure is said, at least wherever libjpeg says
// anything, and also where it takes zeros for what it was not given.
func TestJPEGsOfBrokenStructure(t *testing.T) {
	sequential := cjpegOf(t, "", "-quality", "90", "-sample", "2x2")
	restarts := cjpegOf(t, "", "-quality", "90", "-sample", "2x2", "-restart", "3B")
	apart := cjpegOf(t, "0; 1; 2;", "-quality", "90", "-sample", "2x2")
	woven := cjpegOf(t, "", "-quality", "90", "-sample", "2x2", "-progressive")
	inks := magickOf(t, "-colorspace", "CMYK")
	adobe := func(transform byte) jpegSegment {
		return jpegSegment{marker: markerAPP14, payload: append([]byte("Adobe\x00\x64\x00\x00\x00\x00"), transform)}
	}
	quant := jpegSegment{marker: markerDQT, payload: append([]byte{0}, bytes.Repeat([]byte{9}, 64)...)}
	wide := append([]byte{0x10}, make([]byte, 128)...)
	for i, v := range jpegParts(t, sequential)[1].payload[1:] {
		wide[2+2*i] = v
	}
	const (
		frameHeight = 1 // low byte at 2
		frameWidth  = 3
		quantOf     = 8 // of the first component, then every third byte
	)
	tests := []struct {
		name    string
		from    []byte
		change  change
		want    string // a kind of error or a caution, "" for neither
		libjpeg string // part of what it says, "" for nothing
	}{
		{"nothing", sequential, all(), "", ""},
		{"no quantization table", sequential, drop(markerDQT, -1), "damaged", "Quantization table 0x00 was not defined"},
		{"no table of luma", sequential, drop(markerDQT, 0), "damaged", "Quantization table 0x00 was not defined"},
		{"no table of chroma", sequential, drop(markerDQT, 1), "damaged", "Quantization table 0x01 was not defined"},
		{"luma by another table", sequential, set(markerSOF0, 0, quantOf, 3), "damaged", "Quantization table 0x03 was not defined"},
		{"blue by another table", sequential, set(markerSOF0, 0, quantOf+3, 2), "damaged", "Quantization table 0x02 was not defined"},
		{"progressive without a table", woven, drop(markerDQT, 1), "damaged", "Quantization table 0x01 was not defined"},
		{"a table after its scan", woven, all(drop(markerDQT, 0), insert(markerSOS, 1, quant)), "damaged", "Quantization table 0x00 was not defined"},
		{"a step of zero", sequential, set(markerDQT, 0, 1, 0), "damaged", ""},
		{"a table of 16 bits", sequential, all(drop(markerDQT, 0), insert(markerDQT, 0, jpegSegment{markerDQT, wide, nil})), "", ""},
		{"a table changed between passes", woven, insert(markerSOS, 3, quant), "unsupported", ""},
		{"a table changed after the scan that uses it", apart, insert(markerSOS, 1, quant), "", ""},

		{"no Huffman table", sequential, drop(markerDHT, -1), "damaged", ""}, // djpeg takes those of T.81, annex K
		{"no Huffman table of luma", sequential, drop(markerDHT, 0), "damaged", ""},
		{"a Huffman table of another number", sequential, set(markerSOS, 0, 2, 0x22), "damaged", "Huffman table 0x02 was not defined"},
		{"chroma by luma's Huffman table", sequential, set(markerSOS, 0, 4, 0x00), "damaged", "Corrupt JPEG data"},
		{"more codes than there can be", sequential, set(markerDHT, 0, 1, 3), "damaged", "Bogus Huffman table definition"},

		{"a scan of no component", sequential, set(markerSOS, 0, 1, 9), "damaged", "Invalid component ID 9 in SOS"},
		{"a scan of one component twice", sequential, set(markerSOS, 0, 3, 1), "damaged", "Invalid component ID 1 in SOS"},
		{"two components of one name", sequential, set(markerSOF0, 0, 9, 1), "damaged", "Invalid component ID 2 in SOS"},
		{"two frames", sequential, func(p []jpegSegment) []jpegSegment { return insert(markerSOS, 0, p[at(p, markerSOF0, 0)])(p) }, "damaged", "two SOF markers"},

		{"no restart interval", restarts, drop(markerDRI, 0), "damaged", "premature end"},
		{"another restart interval", restarts, set(markerDRI, 0, 1, 4), "damaged", "premature end"},
		{"a lost restart marker", restarts, coded(0, func(b []byte) []byte { return bytes.Replace(b, []byte("\xff\xd1"), nil, 1) }), "damaged", "extraneous bytes before marker 0xd2"},
		{"restart markers out of order", restarts, coded(0, func(b []byte) []byte { return bytes.Replace(b, []byte("\xff\xd1"), []byte("\xff\xd5"), 1) }), "damaged", "RST1"},
		{"one restart marker too many", restarts, coded(0, adding(0xff, 0xd1)), "", ""},

		{"no height", sequential, all(set(markerSOF0, 0, frameHeight, 0), set(markerSOF0, 0, frameHeight+1, 0)), "damaged", "DNL not supported"},
		{"half the height", sequential, set(markerSOF0, 0, frameHeight+1, 30), "damaged", "extraneous bytes"},
		{"one row of blocks less", sequential, set(markerSOF0, 0, frameHeight+1, 48), "damaged", "extraneous bytes"},
		{"twice the height", sequential, set(markerSOF0, 0, frameHeight+1, 122), "damaged", "premature end"},
		{"half the width", sequential, set(markerSOF0, 0, frameWidth+1, 40), "damaged", "extraneous bytes"},
		{"12 bits", sequential, set(markerSOF0, 0, 0, 12), "unsupported", "Unsupported JPEG data precision 12"},
		{"sampling factors of three", sequential, set(markerSOF0, 0, 7, 0x31), "unsupported", "bad Huffman code"},

		{"colour transform 2 of three components", sequential, all(drop(markerAPP0, 0), insert(markerDQT, 0, adobe(2))), CautionIrregular.Code, "Unknown Adobe color transform code 2"},
		{"colour transform 1 of three components", sequential, all(drop(markerAPP0, 0), insert(markerDQT, 0, adobe(1))), "", ""},
		{"colour transform 0 of three components", sequential, all(drop(markerAPP0, 0), insert(markerDQT, 0, adobe(0))), "", ""},

		{"bytes between segments", sequential, bytesBetween, CautionIrregular.Code, "2 extraneous bytes before marker"},
		{"bytes after the coded data", sequential, coded(0, adding(bytes.Repeat([]byte{7}, 20)...)), CautionChanged.Code, "17 extraneous bytes"},
		{"two bytes after the coded data", sequential, coded(0, adding(7, 8)), CautionChanged.Code, ""},
		{"many bytes after the coded data", sequential, coded(0, adding(bytes.Repeat([]byte("reed"), 30)...)), "damaged", "extraneous bytes"},
		{"zeros after the coded data", sequential, coded(0, adding(make([]byte, 40)...)), CautionIrregular.Code, "37 extraneous bytes"},
		{"filled up before the end marker", sequential, coded(0, adding(0xff, 0xff)), "", ""},
		{"a scan that does not say what it sends", sequential, set(markerSOS, 0, 8, 0), CautionIrregular.Code, "Invalid SOS parameters"},
		{"progressive under a sequential frame", woven, func(p []jpegSegment) []jpegSegment { p[at(p, markerSOF2, 0)].marker = markerSOF0; return p }, "damaged", "Invalid SOS parameters"},
		{"sequential under a progressive frame", sequential, func(p []jpegSegment) []jpegSegment { p[at(p, markerSOF0, 0)].marker = markerSOF2; return p }, "damaged", "Invalid progressive parameters"},
		{"colour transform 1 of four components", inks, set(markerAPP14, 0, 11, 1), CautionIrregular.Code, "Unknown Adobe color transform code 1"},
		{"lossless", sequential, func(p []jpegSegment) []jpegSegment { p[at(p, markerSOF0, 0)].marker = 0xc3; return p }, "unsupported", "Unsupported JPEG process"},
	}
	for _, tt := range tests {
		file := jpegOf(tt.change(jpegParts(t, tt.from)))
		said := libjpegSays(t, file)
		if !strings.Contains(said, tt.libjpeg) || (tt.libjpeg == "") != (said == "") {
			t.Errorf("%s: libjpeg says %q and not %q", tt.name, said, tt.libjpeg)
		}
		path := writeFile(t, filepath.Join(t.TempDir(), "v.jpg"), file)
		if got := outcome(path, DefaultLimits()); strings.TrimSpace(got) != tt.want {
			_, err := Open(path, DefaultLimits())
			t.Errorf("%s: %q, want %q (%v); libjpeg says %q", tt.name, got, tt.want, err, said)
		}
	}
}

// What of a progressive JPEG was never sent is said: T.81 permits all of these, and
// libjpeg says nothing. Coefficients of which nothing came make a print that is plainly
// soft, or without colour; one or two low bits make one that is a little coarse.
func TestJPEGsThatAreSentInPart(t *testing.T) {
	const whole = "0,1,2: 0-0, 0, 1; 0: 1-5, 0, 2; 2: 1-63, 0, 1; 1: 1-63, 0, 1; 0: 6-63, 0, 2; 0: 1-63, 2, 1; 0,1,2: 0-0, 1, 0; 2: 1-63, 1, 0; 1: 1-63, 1, 0; 0: 1-63, 1, 0;"
	passes := strings.SplitAfter(whole, ";")
	script := func(numbers ...int) string {
		var s string
		for _, n := range numbers {
			s += passes[n]
		}
		return s
	}
	const finest = "0,1,2: 0-0, 0, 0; 1: 1-63, 0, 0; 2: 1-63, 0, 0; "
	tests := []struct{ name, scans, want string }{
		{"whole", whole, ""},
		{"by spectral selection alone", finest + "0: 1-63, 0, 0;", ""},
		{"the first pass", script(0), "damaged"},
		{"no detail of lightness", finest, "damaged"},
		{"no fine detail of lightness", finest + "0: 1-20, 0, 0;", "damaged"},
		{"one coefficient left out", finest + "0: 1-62, 0, 0;", "damaged"},
		{"no detail of colour", "0,1,2: 0-0, 0, 0; 0: 1-63, 0, 0;", "damaged"},
		{"no detail of blue", "0,1,2: 0-0, 0, 0; 0: 1-63, 0, 0; 2: 1-63, 0, 0;", "damaged"},
		{"lightness by two bits short", script(0, 1, 2, 3, 4), CautionUnfinished.Code},
		{"lightness by one bit short", script(0, 1, 2, 3, 4, 5, 6, 7, 8), CautionUnfinished.Code},
		{"the mean by one bit short", script(0, 1, 2, 3, 4, 5, 7, 8, 9), CautionUnfinished.Code},
		{"colour by one bit short", script(0, 1, 2, 3, 4, 5, 6, 9), CautionUnfinished.Code},
		{"lightness by three bits short", finest + "0: 1-63, 0, 3;", "damaged"},
		{"the mean by three bits short", "0,1,2: 0-0, 0, 3; 0: 1-63, 0, 0; 1: 1-63, 0, 0; 2: 1-63, 0, 0;", "damaged"},
	}
	for _, tt := range tests {
		file := sentInPart(t, tt.scans)
		if said := libjpegSays(t, file); said != "" {
			t.Errorf("%s: libjpeg says %q", tt.name, said)
		}
		path := writeFile(t, filepath.Join(t.TempDir(), "v.jpg"), file)
		got := strings.TrimSpace(outcome(path, DefaultLimits()))
		_, err := Open(path, DefaultLimits())
		if got != tt.want {
			t.Errorf("%s: %q, want %q (%v)", tt.name, got, tt.want, err)
		}
		if err != nil && !strings.Contains(err.Error(), "lacks its last passes") {
			t.Errorf("%s: %v", tt.name, err)
		}
	}
}

// sentInPart is a progressive JPEG of these scans; what cjpeg refuses to leave out is
// added for it and taken out again.
func sentInPart(t *testing.T, scans string) []byte {
	t.Helper()
	wanted := strings.Count(scans, ";")
	file := cjpegOf(t, scans+rest(scans), "-quality", "90", "-sample", "2x2")
	n := 0
	return jpegOf(slices.DeleteFunc(jpegParts(t, file), func(s jpegSegment) bool {
		if s.marker == markerSOS {
			n++
		}
		return s.marker == markerSOS && n > wanted
	}))
}

// rest are scans for the components of which a script sends no detail.
func rest(scans string) (more string) {
	for _, c := range []string{"0", "1", "2"} {
		if !strings.Contains(scans, c+": 1-") {
			more += " " + c + ": 1-63, 0, 0;"
		}
	}
	return more
}

// A pass that got lost, came twice or came too early is told by the next ones.
func TestJPEGsWithALostPass(t *testing.T) {
	woven := cjpegOf(t, "", "-quality", "90", "-sample", "2x2", "-progressive")
	count := len(scanStarts(woven))
	allowed := map[int]string{6: CautionUnfinished.Code, 7: CautionUnfinished.Code, 8: CautionUnfinished.Code, 9: CautionUnfinished.Code} // the last bit of something
	for n := range count {
		file := jpegOf(drop(markerSOS, n)(jpegParts(t, woven)))
		path := writeFile(t, filepath.Join(t.TempDir(), "v.jpg"), file)
		want := allowed[n]
		if want == "" {
			want = "damaged"
		}
		if got := strings.TrimSpace(outcome(path, DefaultLimits())); got != want {
			t.Errorf("without pass %d: %q, want %q; libjpeg says %q", n, got, want, libjpegSays(t, file))
		}
		twice := jpegParts(t, woven)
		i := at(twice, markerSOS, n)
		writeFile(t, path, jpegOf(slices.Insert(twice, i, twice[i])))
		if got := strings.TrimSpace(outcome(path, DefaultLimits())); got != "damaged" {
			t.Errorf("pass %d twice: %q", n, got)
		}
	}
	apart := cjpegOf(t, "0; 1; 2;", "-quality", "90", "-sample", "2x2")
	for n := range 3 {
		path := writeFile(t, filepath.Join(t.TempDir(), "v.jpg"), jpegOf(drop(markerSOS, n)(jpegParts(t, apart))))
		if got := strings.TrimSpace(outcome(path, DefaultLimits())); got != "damaged" {
			t.Errorf("without the scan of component %d: %q", n, got)
		}
	}
}

// Wherever libjpeg says a word of a JPEG in which a bit was changed, it is held or has a
// caution here; and so have most of those of which a twentieth of the pixels move by
// more than 16 steps of 255, also where libjpeg is silent.
func TestAChangedBitIsHeardWhereLibjpegHearsIt(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	path := filepath.Join(t.TempDir(), "v.jpg")
	files := [][]byte{
		cjpegOf(t, "", "-quality", "92", "-sample", "2x2"), cjpegOf(t, "", "-quality", "75", "-sample", "1x1", "-optimize"),
		cjpegOf(t, "", "-quality", "90", "-sample", "2x1", "-restart", "4B"), cjpegOf(t, "", "-quality", "85", "-sample", "2x2", "-progressive"),
	}
	heard, quiet, wide := 0, 0, 0 // wide of the quiet ones
	for n := range 160 {
		whole := files[n%len(files)]
		start := scanStarts(whole)[0] + 14
		b := bytes.Clone(whole)
		b[start+r.IntN(len(b)-start-2)] ^= 1 << r.IntN(8)
		said := libjpegSays(t, b)
		p, err := Open(writeFile(t, path, b), DefaultLimits())
		if err != nil || len(p.Cautions) > 0 {
			heard++
			continue
		}
		if quiet++; said != "" {
			t.Errorf("change %d: nothing is said where libjpeg says %q", n, said)
		}
		if moved(pixels(p), pixels(open(t, writeFile(t, path, whole)))) > 1./20 {
			wide++
		}
	}
	if t.Logf("%d heard; of %d others %d changed widely", heard, quiet, wide); wide*4 > heard {
		t.Errorf("%d changed widely without a word, and only %d were heard", wide, heard)
	}
}

// moved is the share of samples that differ by more than 16 steps of 255.
func moved(a, b []float32) float64 {
	n := 0
	for i := range a {
		if d := a[i] - b[i]; d > 16./255 || d < -16./255 {
			n++
		}
	}
	return float64(n) / float64(len(a))
}
