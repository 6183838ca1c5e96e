//go:build linux

package faults

import (
	"bytes"
	"image"
	"image/color"
	"math/bits"
)

// progressiveJPEG returns a grey progressive JPEG (ITU-T T.81, annex G) with two kinds of
// scan: the first scan of DC coefficients, times over, and one without AC coefficients, so
// each block is flat. The standard library writes no progressive JPEGs, and only a hostile
// file has several DC scans.
func progressiveJPEG(m image.Image, times int) []byte {
	size := m.Bounds().Size()
	var b bytes.Buffer
	b.Write([]byte{0xff, 0xd8})
	segment(&b, 0xdb, append([]byte{0}, bytes.Repeat([]byte{8}, 64)...))
	segment(&b, 0xc2, []byte{8, byte(size.Y >> 8), byte(size.Y), byte(size.X >> 8), byte(size.X), 1, 1, 0x11, 0})
	// Twelve categories of four bits each, the code being the category.
	segment(&b, 0xc4, append([]byte{0, 0, 0, 0, 12, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0}, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11))
	scan := dcScan(m)
	for range times {
		segment(&b, 0xda, []byte{1, 1, 0, 0, 0, 0})
		b.Write(scan)
	}
	segment(&b, 0xc4, []byte{0x10, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0}) // the one code, a zero, is the end of a block
	segment(&b, 0xda, []byte{1, 1, 0, 1, 63, 0})
	b.Write(acScan(m))
	b.Write([]byte{0xff, 0xd9})
	return b.Bytes()
}

func segment(b *bytes.Buffer, marker byte, data []byte) {
	n := len(data) + 2
	b.Write([]byte{0xff, marker, byte(n >> 8), byte(n)})
	b.Write(data)
}

// dcScan returns the entropy-coded data of the DC scan.
func dcScan(m image.Image) []byte {
	var w bitWriter
	size, last := m.Bounds().Size(), 0
	for y := 0; y < size.Y; y += 8 {
		for x := 0; x < size.X; x += 8 {
			grey := color.GrayModel.Convert(m.At(min(x+4, size.X-1), min(y+4, size.Y-1))).(color.Gray)
			dc := int(grey.Y) - 128 // quantised by 8; a flat block's DC is 8 times its value
			diff := dc - last
			last = dc
			n := bits.Len(uint(max(diff, -diff)))
			w.put(n, 4)
			if diff < 0 {
				diff += 1<<n - 1
			}
			w.put(diff, n)
		}
	}
	return w.flush()
}

// acScan returns an end-of-block code for each block.
func acScan(m image.Image) []byte {
	var w bitWriter
	size := m.Bounds().Size()
	for range (size.X + 7) / 8 * ((size.Y + 7) / 8) {
		w.put(0, 1)
	}
	return w.flush()
}

// bitWriter packs bits, most significant first, and adds a zero byte after each 0xff.
type bitWriter struct {
	out  []byte
	hold uint32
	n    int
}

func (w *bitWriter) put(v, n int) {
	w.hold, w.n = w.hold<<n|uint32(v), w.n+n
	for w.n >= 8 {
		w.n -= 8
		c := byte(w.hold >> w.n)
		w.out = append(w.out, c)
		if c == 0xff {
			w.out = append(w.out, 0)
		}
	}
}

// flush fills the last byte with ones.
func (w *bitWriter) flush() []byte {
	w.put(0x7f, 7)
	return w.out
}
