package tiff

import (
	"bytes"
	"encoding/binary"
	"slices"
	"testing"
)

// TIFF 6.0 section 14: "the differences of the same colour component"; each
// sample less the one a pixel before, modulo.
func TestDifferencesAreOfTheSameColourOnePixelBack(t *testing.T) {
	out := make([]byte, 9)
	difference8(out, []uint8{10, 20, 30, 11, 18, 30, 0, 255, 29}, 3)
	if want := []byte{10, 20, 30, 1, 254, 0, 245, 237, 255}; !bytes.Equal(out, want) {
		t.Errorf("8 bits: % d, want % d", out, want)
	}
	// Sixteen bits are subtracted whole, then stored low byte first.
	out = make([]byte, 8)
	difference16(out, []uint16{0x0100, 0x00ff, 0xffff, 0x0000}, 1)
	if want := []byte{0x00, 0x01, 0xff, 0xff, 0x00, 0xff, 0x01, 0x00}; !bytes.Equal(out, want) {
		t.Errorf("16 bits: % x, want % x", out, want)
	}
}

func TestDifferencesSumToTheRow(t *testing.T) {
	for _, n := range []int{1, 3, 4} {
		for width := 1; width < 20; width++ {
			row := marsh(width, 1, n)
			before := slices.Clone(row)
			out := make([]byte, 2*len(row))
			difference16(out, row, n)
			for i := range row {
				v := binary.LittleEndian.Uint16(out[2*i:])
				if i >= n {
					v += row[i-n]
				}
				if v != row[i] {
					t.Fatalf("%d samples, width %d: sample %d is %d, want %d", n, width, i, v, row[i])
				}
			}
			if !slices.Equal(row, before) {
				t.Fatal("the caller's samples were changed")
			}
		}
	}
}
