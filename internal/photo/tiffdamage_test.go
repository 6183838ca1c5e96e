package photo

import (
	"bytes"
	"encoding/binary"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sizewright/internal/testkit/reference"
)

// tiffOf is the generated picture as a little-endian TIFF by libtiff's tiffcp.
func tiffOf(t *testing.T, compression string, rows string, args ...string) []byte {
	t.Helper()
	dir := t.TempDir()
	whole, made := filepath.Join(dir, "w.tif"), filepath.Join(dir, "m.tif")
	run(t, "convert", slices.Concat([]string{marshFile(t, dir, 140, 48), "-depth", "8"}, args, []string{whole})...)
	run(t, "tiffcp", "-L", "-c", compression, "-r", rows, whole, made)
	return readFile(t, made)
}

// entryOf is the 12 bytes of a tag in the first directory.
func entryOf(t *testing.T, b []byte, tag uint16) []byte {
	t.Helper()
	at := binary.LittleEndian.Uint32(b[4:])
	for i := range int(binary.LittleEndian.Uint16(b[at:])) {
		if e := b[int(at)+2+12*i:][:12]; binary.LittleEndian.Uint16(e) == tag {
			return e
		}
	}
	t.Fatalf("no tag %d", tag)
	return nil
}

// A patch changes the bytes of a TIFF.
type patch = func(t *testing.T, b []byte) []byte

// put sets a tag's only value.
func put(tag uint16, v uint16) patch {
	return func(t *testing.T, b []byte) []byte {
		binary.LittleEndian.PutUint16(entryOf(t, b, tag)[8:], v)
		return b
	}
}

// put32 sets the n-th of a tag's many 32-bit values.
func put32(tag uint16, n int, change func(uint32) uint32) patch {
	return func(t *testing.T, b []byte) []byte {
		v := b[int(binary.LittleEndian.Uint32(entryOf(t, b, tag)[8:]))+4*n:]
		binary.LittleEndian.PutUint32(v, change(binary.LittleEndian.Uint32(v)))
		return b
	}
}

// hide makes a tag one that nobody knows.
func hide(tag uint16) patch {
	return func(t *testing.T, b []byte) []byte {
		binary.LittleEndian.PutUint16(entryOf(t, b, tag), tag|1<<15)
		return b
	}
}

func to(v uint32) func(uint32) uint32 { return func(uint32) uint32 { return v } }

// libtiffSays is what libtiff's tiffinfo says of a file's directory and pixels.
func libtiffSays(t testing.TB, path string) string {
	t.Helper()
	cmd := exec.Command(reference.Tool(t, "tiffinfo"), "-D", path)
	var said bytes.Buffer
	cmd.Stderr = &said
	_ = cmd.Run()
	return strings.TrimSpace(said.String())
}

// What does not fit together in a TIFF is said wherever libtiff says anything, and
// also where a size was changed and it reads on, sheared or cropped.
func TestTIFFsOfBrokenStructure(t *testing.T) {
	plain := tiffOf(t, "none", "7")
	one := tiffOf(t, "none", "48")
	zip := tiffOf(t, "zip", "7")
	zipOne := tiffOf(t, "zip", "48")
	lzw := tiffOf(t, "lzw", "7")
	packed := tiffOf(t, "packbits", "7")
	alpha := tiffOf(t, "none", "7", "-alpha", "set", "-channel", "A", "-fx", "i/w", "+channel", "-define", "tiff:alpha=unassociated")
	nothing := func(t *testing.T, b []byte) []byte { return b }
	link := func(to uint32) patch {
		return func(t *testing.T, b []byte) []byte {
			at := int(binary.LittleEndian.Uint32(b[4:]))
			n := int(binary.LittleEndian.Uint16(b[at:]))
			binary.LittleEndian.PutUint32(b[at+2+12*n:], to)
			return b
		}
	}
	tests := []struct {
		name    string
		from    []byte
		patch   patch
		want    string // a kind of error or a caution, "" for neither
		libtiff bool   // it says something
	}{
		{"uncompressed", plain, nothing, "", false},
		{"in one strip", one, nothing, "", false},
		{"deflate", zip, nothing, "", false},
		{"LZW", lzw, nothing, "", false},
		{"PackBits", packed, nothing, "", false},

		{"a strip of no bytes", plain, put32(tagStripByteCounts, 2, to(0)), "damaged", true},
		{"a strip that is short", plain, put32(tagStripByteCounts, 2, to(100)), "damaged", true},
		{"a strip of deflate that is short", zip, put32(tagStripByteCounts, 2, to(100)), "damaged", true},
		{"a strip of LZW that is short", lzw, put32(tagStripByteCounts, 2, to(100)), "damaged", true},
		{"a strip of PackBits that is short", packed, put32(tagStripByteCounts, 2, to(100)), "damaged", true},
		{"a strip beyond the end", plain, put32(tagStripOffsets, 2, to(1<<20)), "damaged", true},
		{"a strip at the file's own head", plain, put32(tagStripOffsets, 2, to(0)), "damaged", false},
		{"a strip that lies over another", plain, put32(tagStripOffsets, 2, func(v uint32) uint32 { return v ^ 64 }), "damaged", false},
		{"strips without their places", plain, hide(tagStripOffsets), "damaged", true},
		{"strips without their lengths", plain, hide(tagStripByteCounts), "damaged", true},

		{"a smaller width", plain, put(tagWidth, 139), CautionIrregular.Code, false},
		{"half the width", plain, put(tagWidth, 70), "damaged", false},
		{"a smaller width, deflate", zip, put(tagWidth, 139), CautionIrregular.Code, false},
		{"half the width, LZW", lzw, put(tagWidth, 70), "damaged", false},
		{"half the width, PackBits", packed, put(tagWidth, 70), "damaged", true},
		{"a larger width", plain, put(tagWidth, 144), "damaged", true},
		{"a smaller height", plain, put(tagLength, 32), "damaged", false},
		{"a smaller height, deflate", zip, put(tagLength, 32), "damaged", false},
		{"a smaller height, one strip of deflate", zipOne, put(tagLength, 32), "damaged", false},
		{"a smaller height, one strip", one, put(tagLength, 32), CautionIrregular.Code, false},
		{"a larger height", plain, put(tagLength, 64), "damaged", true},
		{"fewer rows in a strip", plain, put(tagRowsPerStrip, 5), "damaged", true},
		{"more rows in a strip", plain, put(tagRowsPerStrip, 9), "damaged", true},
		{"no rows in a strip", plain, put(tagRowsPerStrip, 0), "damaged", true},
		{"no width", plain, put(tagWidth, 0), "damaged", true},

		{"a planar configuration of three", plain, put(tagPlanarConfig, 3), "unsupported", true},
		{"an unknown compression", plain, put(tagCompression, 99), "unsupported", true},
		{"a predictor of four", zip, func(t *testing.T, b []byte) []byte {
			e := entryOf(t, b, tagOrientation) // in place of one that is not needed
			copy(e, short(tagPredictor, 4))
			return b
		}, "unsupported", true},
		{"bits in reverse order", plain, put(tagFillOrder, 2), "unsupported", false},
		{"signed samples", plain, func(t *testing.T, b []byte) []byte {
			copy(entryOf(t, b, tagPlanarConfig), short(tagSampleFormat, 2))
			return b
		}, "unsupported", true}, // that its tags are out of order
		{"a tag twice", plain, func(t *testing.T, b []byte) []byte {
			copy(entryOf(t, b, tagRowsPerStrip), short(tagSamplesPerPixel, 1))
			return b
		}, "damaged", true},
		{"another width after the first", plain, func(t *testing.T, b []byte) []byte {
			copy(entryOf(t, b, tagPlanarConfig), short(tagWidth, 139)) // and out of order
			return b
		}, CautionIrregular.Code, true},
		{"a photometric interpretation that nobody defined", plain, put(tagPhotometric, 99), "unsupported", false},
		{"no photometric interpretation", plain, hide(tagPhotometric), "unsupported", true},
		{"fewer channels than colours", plain, put(tagSamplesPerPixel, 2), "damaged", false},

		{"alpha", alpha, nothing, CautionAlpha.Code, false},
		{"a channel without a meaning", alpha, put(tagExtraSamples, 0), CautionChannels.Code, false},
		{"a channel that is not declared", alpha, hide(tagExtraSamples), CautionChannels.Code, true},
		{"colours that are not multiplied by their alpha", alpha, put(tagExtraSamples, 1), CautionAlpha.Code + " " + CautionIrregular.Code, false},

		{"a page that is not there", plain, link(1 << 24), CautionIrregular.Code, true},
		{"LZW of before TIFF 5.0", lzw, func(t *testing.T, b []byte) []byte {
			copy(b[8:], "\x00\x01") // the first strip lies there
			return b
		}, "unsupported", true},
	}
	for _, tt := range tests {
		path := writeFile(t, filepath.Join(t.TempDir(), "v.tif"), tt.patch(t, bytes.Clone(tt.from)))
		said := libtiffSays(t, path)
		if (said != "") != tt.libtiff {
			t.Errorf("%s: libtiff says %q", tt.name, said)
		}
		if got := strings.TrimSpace(outcome(path, DefaultLimits())); got != tt.want {
			_, err := Open(path, DefaultLimits())
			t.Errorf("%s: %q, want %q (%v); libtiff says %q", tt.name, got, tt.want, err, said)
		}
		if tt.libtiff && tt.want == "" {
			t.Errorf("%s: nothing is said where libtiff says %q", tt.name, said)
		}
	}
}

// Whichever bit of a TIFF's directory is changed: if the pixels become others without a
// word, libtiff has none to say either. The exception is a predictor whose tag became
// another: nothing else asks for one.
func TestAChangedBitInATIFFsDirectory(t *testing.T) {
	path := filepath.Join(t.TempDir(), "v.tif")
	changed, quiet := 0, 0
	for _, whole := range [][]byte{tiffOf(t, "none", "7"), tiffOf(t, "zip", "7"), tiffOf(t, "lzw:2", "48")} {
		right := pixels(open(t, writeFile(t, path, whole)))
		at := int(binary.LittleEndian.Uint32(whole[4:]))
		predictor := bytes.Index(whole[at:], []byte(short(tagPredictor, 2)))
		end := at + 2 + 12*int(binary.LittleEndian.Uint16(whole[at:])) + 4
		for i := at; i < end; i++ {
			for _, bit := range []int{i % 8, (i + 3) % 8} {
				b := bytes.Clone(whole)
				b[i] ^= 1 << bit
				changed++
				p, err := Open(writeFile(t, path, b), DefaultLimits())
				if err != nil || len(p.Cautions) > 0 || predictor >= 0 && i-at-predictor < 2 && i-at >= predictor || slices.Equal(pixels(p), right) {
					continue
				}
				if quiet++; libtiffSays(t, path) != "" {
					t.Errorf("byte %d, bit %d: nothing is said where libtiff says %q", i, bit, libtiffSays(t, path))
				}
			}
		}
	}
	t.Logf("%d bits changed, %d pictures others without a word", changed, quiet)
}
