package photo

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/png"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sizewright/internal/testkit/reference"
)

// pngPart is a chunk.
type pngPart struct{ name, data string }

// pngParts takes a PNG apart.
func pngParts(b []byte) (parts []pngPart) {
	for b = b[pngHead:]; len(b) > 0; {
		n := binary.BigEndian.Uint32(b)
		parts = append(parts, pngPart{string(b[4:8]), string(b[8:][:n])})
		b = b[12+n:]
	}
	return parts
}

func pngOf(parts []pngPart) []byte {
	b := []byte("\x89PNG\r\n\x1a\n")
	for _, p := range parts {
		b = append(b, makeChunk(p.name, p.data)...)
	}
	return b
}

// pngcheckSays is what pngcheck has to say against a file.
func pngcheckSays(t testing.TB, path string) string {
	t.Helper()
	out, err := exec.Command(reference.Tool(t, "pngcheck"), "-q", path).CombinedOutput()
	if err == nil {
		return ""
	}
	return strings.TrimSpace(string(out))
}

// libpngSays is what libpng says through ImageMagick.
func libpngSays(t testing.TB, path string) string {
	t.Helper()
	out, _ := exec.Command(reference.Tool(t, "convert"), path, "-depth", "8", "null:").CombinedOutput()
	return strings.TrimSpace(string(out))
}

// harmless is what libpng warns of and the decoder here does not see: the pixels
// have come by then, and their own checksum is right.
const harmless = "a byte after the pixels' last"

// What is wrong with a PNG's chunks is said wherever pngcheck or libpng says
// anything of it.
func TestPNGsOfBrokenStructure(t *testing.T) {
	var full, coloured bytes.Buffer
	must(t, png.Encode(&full, marsh16(40, 30)))
	paletted := image.NewPaletted(image.Rect(0, 0, 40, 30), color.Palette{color.White, color.Gray{90}, color.RGBA{200, 30, 30, 255}, color.Black, color.RGBA{1, 99, 3, 255}})
	for i := range paletted.Pix {
		paletted.Pix[i] = uint8(i % 5)
	}
	must(t, png.Encode(&coloured, paletted))
	parts := pngParts(full.Bytes())
	if len(parts) != 3 {
		t.Fatalf("%d chunks", len(parts))
	}
	header, pixels, end := parts[0], parts[1], parts[2]
	half := len(pixels.data) / 2
	first, second := pngPart{"IDAT", pixels.data[:half]}, pngPart{"IDAT", pixels.data[half:]}
	text := pngPart{"tEXt", "Comment\x00reed"}
	indexed := pngParts(coloured.Bytes())
	still := pngPart{"acTL", "\x00\x00\x00\x02\x00\x00\x00\x00"}
	with := func(p pngPart, at int, b byte) pngPart {
		d := []byte(p.data)
		d[at] = b
		return pngPart{p.name, string(d)}
	}
	tests := []struct {
		name  string
		parts []pngPart
		want  string // a kind of error or a caution, "" for neither
		said  bool   // by pngcheck or libpng
	}{
		{"nothing", parts, "", false},
		{"pixels in two chunks", []pngPart{header, first, second, end}, "", false},
		{"an ancillary chunk that is not known", []pngPart{header, {"reEd", "salt"}, pixels, end}, "", false},
		{"a critical chunk that is not known", []pngPart{header, {"REED", "salt"}, pixels, end}, "unsupported", true},
		{"a critical chunk of a telephone", slices.Insert(slices.Clone(parts), 0, pngPart{"CgBI", "\x50\x00\x20\x02"}), "damaged", true},
		{"a critical chunk after the pixels", []pngPart{header, pixels, {"REED", "salt"}, end}, "unsupported", true},
		{"a chunk without a name", []pngPart{header, {"\x01\x02\x03\x04", "salt"}, pixels, end}, "damaged", true},
		{"the header second", []pngPart{text, header, pixels, end}, "damaged", true},
		{"two headers", []pngPart{header, header, pixels, end}, "damaged", true},
		{"no header", []pngPart{pixels, end}, "damaged", true},
		{"no pixels", []pngPart{header, end}, "damaged", true},
		{"a chunk between the pixels", []pngPart{header, first, text, second, end}, "damaged", true},
		{"pixels once more", []pngPart{header, pixels, text, pixels, end}, CautionIrregular.Code, true},
		{"half of the pixels", []pngPart{header, first, end}, "damaged", true},
		{harmless, []pngPart{header, {"IDAT", pixels.data + "\x00"}, end}, "", true},
		{"fewer rows than pixels", []pngPart{with(header, 7, 29), pixels, end}, "damaged", true},
		{"more rows than pixels", []pngPart{with(header, 7, 31), pixels, end}, "damaged", true},
		{"an end with data", []pngPart{header, pixels, {"IEND", "!"}}, "damaged", true},
		{"an unknown way of interlacing", []pngPart{with(header, 12, 2), pixels, end}, "damaged", true},
		{"an unknown filter", []pngPart{with(header, 11, 64), pixels, end}, "unsupported", true},
		{"an unknown compression", []pngPart{with(header, 10, 1), pixels, end}, "unsupported", true},
		{"an unknown depth", []pngPart{with(header, 8, 3), pixels, end}, "unsupported", true},
		{"an animation", []pngPart{header, still, pixels, end}, CautionPages.Code, false},
		{"a palette", indexed, "", false},
		{"no palette", slices.Delete(slices.Clone(indexed), 1, 2), "damaged", true},
		{"a palette after the pixels", []pngPart{indexed[0], indexed[2], indexed[1], indexed[3]}, "damaged", true},
		{"a palette twice", slices.Insert(slices.Clone(indexed), 1, indexed[1]), "damaged", true},
		{"a palette that is too short", []pngPart{indexed[0], {"PLTE", indexed[1].data[:9]}, indexed[2], indexed[3]}, "damaged", true},
		{"a palette of a broken colour", []pngPart{indexed[0], {"PLTE", indexed[1].data + "\x00"}, indexed[2], indexed[3]}, "damaged", true},
		{"a palette of grey", slices.Insert(slices.Clone(pngParts(greyPNG(t))), 1, indexed[1]), "damaged", true},
		{"transparency without a palette", slices.Insert(slices.Delete(slices.Clone(indexed), 1, 2), 1, pngPart{"tRNS", "\x00"}), "damaged", true},
		{"more alphas than colours", slices.Insert(slices.Clone(indexed), 2, pngPart{"tRNS", "\xff\xff\xff\xff\xff\x80"}), CautionIrregular.Code, true},
		{"transparency of a colour", slices.Insert(slices.Clone(indexed), 2, pngPart{"tRNS", "\x80"}), CautionAlpha.Code, false},
		{"transparency of one grey", slices.Insert(slices.Clone(pngParts(greyPNG(t))), 1, pngPart{"tRNS", "\x00\x07"}), CautionAlpha.Code, false},
		{"transparency after the pixels", []pngPart{header, pixels, {"tRNS", "\x00\x00\x00\x00\x00\x00"}, end}, "damaged", true},
		{"transparency of the wrong length", []pngPart{header, {"tRNS", "\x00"}, pixels, end}, "damaged", true},
	}
	for _, tt := range tests {
		path := writeFile(t, filepath.Join(t.TempDir(), "v.png"), pngOf(tt.parts))
		said := pngcheckSays(t, path) + " / " + libpngSays(t, path)
		if (said != " / ") != tt.said {
			t.Errorf("%s: pngcheck / libpng say %q", tt.name, said)
		}
		if got := strings.TrimSpace(outcome(path, DefaultLimits())); got != tt.want {
			_, err := Open(path, DefaultLimits())
			t.Errorf("%s: %q, want %q (%v); pngcheck / libpng say %q", tt.name, got, tt.want, err, said)
		}
		if tt.said && tt.want == "" && tt.name != harmless {
			t.Errorf("%s: nothing is said where %q is", tt.name, said)
		}
	}
}

func greyPNG(t *testing.T) []byte {
	t.Helper()
	grey := image.NewGray(image.Rect(0, 0, 16, 16))
	for i := range grey.Pix {
		grey.Pix[i] = uint8(i)
	}
	var b bytes.Buffer
	must(t, png.Encode(&b, grey))
	return b.Bytes()
}

// A changed bit anywhere in a PNG is found by its checksums, also in chunks that
// do not matter.
func TestAChangedBitInAPNGIsFound(t *testing.T) {
	var b bytes.Buffer
	must(t, png.Encode(&b, marsh16(12, 9)))
	whole := pngOf(slices.Insert(pngParts(b.Bytes()), 1, pngPart{"tEXt", "Comment\x00reed"}))
	path := filepath.Join(t.TempDir(), "v.png")
	for at := pngHead; at < len(whole); at++ {
		c := bytes.Clone(whole)
		c[at] ^= 1 << (at % 8)
		if p, err := Open(writeFile(t, path, c), DefaultLimits()); err == nil {
			t.Errorf("byte %d: read with cautions %v", at, p.Cautions)
		}
	}
}

// A picture that is transparent everywhere would print as bare paper.
func TestAWhollyTransparentPictureIsHeld(t *testing.T) {
	var b bytes.Buffer
	must(t, png.Encode(&b, image.NewNRGBA(image.Rect(0, 0, 9, 9))))
	path := writeFile(t, filepath.Join(t.TempDir(), "v.png"), b.Bytes())
	if _, err := Open(path, DefaultLimits()); !is(err, Unsupported) || !strings.Contains(err.Error(), "transparent everywhere") {
		t.Error(err)
	}
}
