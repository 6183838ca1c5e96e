package caption

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/goregular"
)

// cff is a font with cubic outlines, of package x/image's own tests.
func cff(t testing.TB) []byte {
	t.Helper()
	dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "golang.org/x/image").Output()
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(dir)), "font/testdata/CFFTest.otf"))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func opened(t *testing.T, data []byte) (*Face, error) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "face.otf")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return Open(path)
}

func TestACaptionIsSetInTheFontThatIsNamed(t *testing.T) {
	italic, err := opened(t, goitalic.TTF)
	if err != nil {
		t.Fatal(err)
	}
	line, err := italic.Line("Ebb", 40, 400)
	if err != nil {
		t.Fatal(err)
	}
	if same(line, mustLine(t, "Ebb", 40, 400)) {
		t.Error("it is the built-in one")
	}
	regular, err := opened(t, goregular.TTF)
	if err != nil {
		t.Fatal(err)
	}
	if line, err = regular.Line("Ebb", 40, 400); err != nil || !same(line, mustLine(t, "Ebb", 40, 400)) {
		t.Error("the built-in font from a file makes other letters", err)
	}
	if italic.SHA256 == regular.SHA256 || italic.Digest() == "" || BuiltIn.Digest() != "" {
		t.Error("fonts are not told apart")
	}
}

// Its 1 is a bar of 200 by 800 units, and its 0 two outlines of cubic curves that hold 126,610
// square units between them, by integrating the curves of its source (CFFTest.sfd).
func TestAFontWithCubicOutlinesIsDrawn(t *testing.T) {
	face, err := opened(t, cff(t))
	if err != nil {
		t.Fatal(err)
	}
	area := map[string]float64{}
	for _, text := range []string{"0", "1"} {
		line, err := face.Line(text, 400, 400)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range line.Pix {
			area[text] += float64(a)
		}
	}
	if got, want := area["0"]/area["1"], 126_610/(200*800.); math.Abs(got/want-1) > 0.004 {
		t.Errorf("0 has %.3f times the ink of 1, want %.3f", got, want)
	}
	if got := face.Missing("01Ebb"); got != "Eb" {
		t.Errorf("it lacks %q, want Eb", got)
	}
}

// Letters that must be joined are boxes, and said, though the font has them.
func TestLettersThatMustBeJoinedAreSaid(t *testing.T) {
	dejavu, err := Open("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf")
	if err != nil {
		t.Fatal(err)
	}
	if got := dejavu.Missing("Ebb بحر Ωμ ים"); got != "بحرים" {
		t.Errorf("%q would be boxes", got)
	}
	apart, err := dejavu.Line("A", 200, 4000)
	if err != nil {
		t.Fatal(err)
	}
	pair, err := dejavu.Line("AVAV", 200, 4000)
	if err != nil {
		t.Fatal(err)
	}
	v, err := dejavu.Line("V", 200, 4000)
	if err != nil {
		t.Fatal(err)
	}
	if alone := 2 * (apart.Rect.Dx() + v.Rect.Dx()); pair.Rect.Dx() > alone-10 {
		t.Errorf("AVAV is %d px wide, and its letters %d: they are not kerned", pair.Rect.Dx(), alone)
	}
}

func TestAFileThatIsNoFontIsSaid(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "pipe.ttf")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{
		filepath.Join(t.TempDir(), "gone.ttf"): "gone.ttf: the font cannot be opened",
		pipe:                                   "pipe.ttf: it cannot be used for captions: it is not a regular file",
		t.TempDir():                            "not a regular file",
	} {
		if _, err := Open(path); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", path, err)
		}
	}
	for name, data := range map[string][]byte{
		"nothing": nil, "words": []byte("These are words.\n"), "half": goregular.TTF[:len(goregular.TTF)/2],
		"a collection": append([]byte("ttcf"), goregular.TTF...), "without letters": withGlyphs(nil, func(int) int { return 0 }),
	} {
		if _, err := opened(t, data); err == nil || !strings.Contains(err.Error(), "name a TrueType or OpenType font") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// withGlyphs is the built-in font with other outlines: at says where that of glyph i begins
// in glyf, and that of the next where it ends.
func withGlyphs(glyf []byte, at func(i int) int) []byte {
	font := bytes.Clone(goregular.TTF)
	table := func(tag string) []byte {
		for i := range int(binary.BigEndian.Uint16(font[4:])) {
			if e := font[12+16*i:][:16]; string(e[:4]) == tag {
				return e
			}
		}
		panic(tag)
	}
	head, maxp := table("head"), table("maxp")
	binary.BigEndian.PutUint16(font[binary.BigEndian.Uint32(head[8:])+50:], 1) // long offsets
	glyphs := int(binary.BigEndian.Uint16(font[binary.BigEndian.Uint32(maxp[8:])+4:]))
	var loca []byte
	for i := range glyphs + 1 {
		loca = binary.BigEndian.AppendUint32(loca, uint32(at(i)))
	}
	for tag, data := range map[string][]byte{"glyf": glyf, "loca": loca} {
		binary.BigEndian.PutUint32(table(tag)[8:], uint32(len(font)))
		binary.BigEndian.PutUint32(table(tag)[12:], uint32(len(data)))
		font = append(font, data...)
	}
	return font
}

// A letter that is nine times a letter that is nine times a letter, and so on, takes hours to
// draw and a kilobyte to say.
func TestAFontThatWouldNeverEndIsRefused(t *testing.T) {
	const parts, chain = 9, 8
	var glyf []byte
	begin := []int{}
	for i := range 700 {
		begin = append(begin, len(glyf))
		if i%chain == 0 {
			continue
		}
		glyf = append(glyf, 0xff, 0xff, 0, 0, 0, 0, 0, 0, 0, 0) // composite
		for p := range parts {
			more := byte(0x20)
			if p == parts-1 {
				more = 0
			}
			glyf = append(glyf, 0, more|2, byte((i+1)>>8), byte(i+1), 0, 0)
		}
		glyf = append(glyf, 0)[:len(glyf)+len(glyf)%2]
	}
	font := withGlyphs(glyf, func(i int) int { return begin[min(i, len(begin)-1)] })
	if _, err := opened(t, font); err == nil {
		t.Error("it is taken for a font")
	}
}

func FuzzFace(f *testing.F) {
	f.Add(goregular.TTF[:4000], "Ebb")
	f.Add(cff(f), "01")
	f.Fuzz(func(t *testing.T, data []byte, text string) {
		if drawable(data) != nil {
			return
		}
		face := &Face{data: data}
		face.Missing(text)
		if line, err := face.Line(text, 24, 500); err == nil && (line.Rect.Dy() != 24 || line.Rect.Dx() > 500) {
			t.Errorf("%v", line.Rect)
		}
	})
}
