package caption

import (
	"crypto/sha256"
	"fmt"
	"image"
	"image/draw"
	"strings"
	"testing"
	"unicode/utf8"

	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

func mustLine(t *testing.T, text string, height, width int) *image.Alpha {
	t.Helper()
	line, err := BuiltIn.Line(text, height, width)
	if err != nil {
		t.Fatal(err)
	}
	if b := line.Bounds(); b.Min != (image.Point{}) || b.Dy() != height || b.Dx() < 1 || b.Dx() > width {
		t.Fatalf("%.40q within %d x %d is %v", text, width, height, b)
	}
	return line
}

// ink is the rectangle of pixels that are not empty.
func ink(line *image.Alpha) image.Rectangle {
	var all image.Rectangle
	for y := range line.Rect.Dy() {
		for x := range line.Rect.Dx() {
			if line.AlphaAt(x, y).A > 0 {
				all = all.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return all
}

func same(a, b *image.Alpha) bool {
	return a.Rect == b.Rect && string(a.Pix) == string(b.Pix)
}

func TestALineIsAsWideAsItsInk(t *testing.T) {
	for _, text := range []string{"Ebb at Haddow Creek, 40 × 60 cm, 3/12", "jjj", "H", ".", "Ålesund, Ñandú, Ωμέγα, Привет"} {
		for _, height := range []int{MinPX, 11, 42, 237} {
			line := mustLine(t, text, height, MaxWidthPX)
			got := ink(line)
			if got.Min.X != 0 || got.Max.X < line.Rect.Dx()-1 {
				t.Errorf("%q at %d px: ink from %d to %d of %d", text, height, got.Min.X, got.Max.X, line.Rect.Dx())
			}
		}
	}
}

// A capital is on the baseline, a descender goes below it, and nothing is cut off at the
// top or the bottom.
func TestLettersStandWhereTheDocumentationSays(t *testing.T) {
	for _, height := range []int{20, 64, 100, 500, MaxPX} {
		s, err := BuiltIn.setter(height)
		if err != nil {
			t.Fatal(err)
		}
		baseline, capTop := s.baseline, s.baseline+s.glyph('H').bounds.Min.Y.Floor()
		if b := ink(mustLine(t, "HIE", height, MaxWidthPX)); b.Min.Y != capTop || b.Max.Y != baseline {
			t.Errorf("at %d px capitals go from %d to %d, want %d to %d", height, b.Min.Y, b.Max.Y, capTop, baseline)
		}
		if share := float64(baseline-capTop) / float64(height); share < 0.56 || share > 0.66 {
			t.Errorf("at %d px a capital is %.3f of the line", height, share)
		}
		if b := ink(mustLine(t, "Åj", height, MaxWidthPX)); b.Min.Y < 0 || b.Max.Y <= baseline || b.Max.Y > height {
			t.Errorf("at %d px Å and j go from %d to %d", height, b.Min.Y, b.Max.Y)
		}
	}
}

// The reference is x/image's rasteriser at 8 times the size, averaged: at the same size its
// curves are lines with an error of up to 0.14 pixels.
func TestLettersAreAsAnotherRasteriserDrawsThem(t *testing.T) {
	for _, height := range []int{12, 40, 120} {
		const text = "Quick sedge & 8 samphire, 50 × 70 cm"
		got := mustLine(t, text, height, MaxWidthPX)
		want := second(t, text, height, got.Rect)
		worst, sum := 0, 0
		for k := range got.Pix {
			diff := max(int(got.Pix[k])-int(want.Pix[k]), int(want.Pix[k])-int(got.Pix[k]))
			worst, sum = max(worst, diff), sum+diff
		}
		if mean := float64(sum) / float64(len(got.Pix)); worst > 14 || mean > 0.8 {
			t.Errorf("at %d px a pixel is off by %d, the mean by %.2f of 255", height, worst, mean)
		}
	}
}

func second(t *testing.T, text string, height int, r image.Rectangle) *image.Alpha {
	t.Helper()
	const times = 8
	f, err := opentype.Parse(goregular.TTF)
	if err != nil {
		t.Fatal(err)
	}
	s, err := BuiltIn.setter(height)
	if err != nil {
		t.Fatal(err)
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: times * float64(s.em) / 64, DPI: 72})
	if err != nil {
		t.Fatal(err)
	}
	large := image.NewAlpha(image.Rect(0, 0, r.Dx()*times, r.Dy()*times))
	from, _ := s.ink([]rune(text))
	dot := fixed.Point26_6{X: -from * times, Y: fixed.I(s.baseline * times)}
	for _, c := range text {
		at, mask, corner, _, _ := face.Glyph(dot, c)
		draw.DrawMask(large, at, image.Opaque, image.Point{}, mask, corner, draw.Over)
		dot.X += s.glyph(c).advance * times
	}
	small := image.NewAlpha(r)
	for k := range small.Pix {
		x, y, sum := k%small.Stride*times, k/small.Stride*times, 0
		for j := range times * times {
			sum += int(large.AlphaAt(x+j%times, y+j/times).A)
		}
		small.Pix[k] = uint8((sum + times*times/2) / (times * times))
	}
	return small
}

func TestALongLineLosesItsMiddle(t *testing.T) {
	const text = "The marsh at first light, looking north from the sluice, 2024-10-03.tif"
	full := mustLine(t, text, 40, MaxWidthPX)
	if !same(full, mustLine(t, text, 40, full.Rect.Dx())) {
		t.Error("a line that just fits was shortened")
	}
	short := mustLine(t, text, 40, full.Rect.Dx()-1)
	for x := range short.Rect.Dx() / 4 {
		for y := range 40 {
			if full.AlphaAt(x, y) != short.AlphaAt(x, y) {
				t.Fatalf("the beginning differs at %d, %d", x, y)
			}
		}
	}
	for width := full.Rect.Dx(); width > 40; width -= 37 {
		mustLine(t, text, 40, width)
	}
}

func TestShorteningKeepsEndsAndAsMuchAsFits(t *testing.T) {
	s, err := BuiltIn.setter(30)
	if err != nil {
		t.Fatal(err)
	}
	text := []rune("abcdefghijklmnopqrstuvwxyz-0123.jpg")
	for width := s.width([]rune{ellipsis}); width < s.width(text); width++ {
		short, ok := s.shorten(text, width)
		if !ok {
			t.Fatalf("no room in %d, which an ellipsis has", width)
		}
		head, tail, found := strings.Cut(string(short), string(ellipsis))
		if !found || !strings.HasPrefix(string(text), head) || !strings.HasSuffix(string(text), tail) {
			t.Fatalf("%q is not the text's ends", string(short))
		}
		if d := len(head) - len(tail); d != 0 && d != 1 {
			t.Errorf("%q keeps %d and %d", string(short), len(head), len(tail))
		}
		if s.width(short) > width || s.width(without(text, len(head)+len(tail)+1)) <= width {
			t.Errorf("%q is not the most that %d pixels hold", string(short), width)
		}
	}
}

// A file name is whatever somebody typed, or sent.
func TestHostileText(t *testing.T) {
	plain := mustLine(t, "a b", 24, 400)
	for _, text := range []string{"a\tb", " a \r\n b ", "a\u00a0b", "\x00a\x1b b\x7f", "a\u202e \u200bb\ufeff", "a\u2028b"} {
		if !same(plain, mustLine(t, text, 24, 400)) {
			t.Errorf("%q is not set as \"a b\"", text)
		}
	}
	if !same(mustLine(t, "a\xff\xfeb", 24, 400), mustLine(t, "a\ufffd\ufffdb", 24, 400)) {
		t.Error("bytes that are not UTF-8 are not U+FFFD")
	}
	if !same(mustLine(t, "a写b", 24, 400), mustLine(t, "a真b", 24, 400)) || same(mustLine(t, "a写b", 24, 400), mustLine(t, "ab", 24, 400)) {
		t.Error("characters that the font lacks are not its box")
	}
	mustLine(t, strings.Repeat("W", 3_000_000), 24, 500)
	mustLine(t, strings.Repeat("\u0301", 5_000), 24, 500)
	for _, text := range []string{"", " \t\n", "\x00\x01", "\u202e\u200b"} {
		if line, err := BuiltIn.Line(text, 24, 400); err == nil {
			t.Errorf("%q has no ink and came as %v", text, line.Rect)
		}
	}
}

func TestSizesOutOfRangeAreErrors(t *testing.T) {
	for _, c := range []struct {
		height, width int
		says          string
	}{{5, 100, "5 pixels high"}, {-1, 100, "-1 pixels high"}, {MaxPX + 1, 100, "1001 pixels high"},
		{20, 0, "0 pixels wide"}, {20, MaxWidthPX + 1, "100001 pixels wide"}, {100, 10, "does not fit in a width of 10"}} {
		if _, err := BuiltIn.Line("Saltings", c.height, c.width); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%d high, %d wide: %v", c.height, c.width, err)
		}
	}
}

// The digest is from our own first run. A caption has the same pixels on every machine and
// in every release; this test shows a change.
func TestALineIsTheSameEverywhere(t *testing.T) {
	line := mustLine(t, "Ebb & flow, 40 × 60 cm, Ærø 写 №3", 48, 2000)
	const want = "(652,48) 1eb9d5230cb1cedf5a5c47e91fcfa1f884e6cfd830e0a6a1fb48c860921666e3"
	if got := fmt.Sprintf("%v %x", line.Rect.Max, sha256.Sum256(line.Pix)); got != want {
		t.Errorf("the line is %s, was %s", got, want)
	}
}

func FuzzLine(f *testing.F) {
	f.Add("Ebb at Haddow Creek", 24, 200)
	f.Add("\x00\u202eé", 6, 1)
	f.Fuzz(func(t *testing.T, text string, height, width int) {
		line, err := BuiltIn.Line(text, height%100, width%1000)
		if err != nil {
			return
		}
		if line.Rect.Dy() != height%100 || line.Rect.Dx() > width%1000 {
			t.Errorf("%v for %d x %d", line.Rect, width%1000, height%100)
		}
		if utf8.ValidString(text) && len(clean(text)) == 0 {
			t.Errorf("%q has no ink", text)
		}
	})
}

func BenchmarkLine(b *testing.B) {
	for b.Loop() {
		line, err := BuiltIn.Line("Ebb at Haddow Creek, 40 × 60 cm, lustre, 3 October, 3/12", 80, 10_000)
		if err != nil {
			b.Fatal(err)
		}
		_ = draw.Image(line)
	}
}

func TestLettersThatTheFaceLacksAreNamedOnce(t *testing.T) {
	for text, want := range map[string]string{
		"Ebb & flow, 40 × 60 cm, Ærø №3, Ωμέγα, Привет …": "",
		"写真 A写\u202e":     "写真",
		"tide \U0001f30a": "\U0001f30a",
		" \t\u00a0":       "",
	} {
		if got := BuiltIn.Missing(text); got != want {
			t.Errorf("%q lacks %q, want %q", text, got, want)
		}
	}
}
