package tiff

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"testing"

	"golang.org/x/image/tiff/lzw"
)

// lzwEncode encodes data in rows of the given length.
func lzwEncode(e *lzwEncoder, data []byte, row int) []byte {
	e.begin(nil, false)
	for chunk := range slices.Chunk(data, row) {
		e.write(chunk)
	}
	out, _ := e.end()
	return out
}

func lzwDecode(b []byte) ([]byte, error) {
	return io.ReadAll(lzw.NewReader(bytes.NewReader(b), lzw.MSB, 8))
}

// widthCode is a code and the bits it was written in.
type widthCode struct {
	code  int
	width uint
}

// lzwCodes reads the codes of a stream without decoding them. The widths follow
// TIFF 6.0 section 13: a clear code restarts at 9 bits; every code after the first
// adds an entry to the reader's table, from 258 on; and the width grows once entry 510,
// 1022 or 2046 is added.
func lzwCodes(b []byte) (codes []widthCode) {
	width, entry := uint(9), 257
	acc, n := 0, uint(0)
	for _, x := range b {
		acc, n = acc<<8|int(x), n+8
		if n < width {
			continue
		}
		n -= width
		code := acc >> n
		acc &= 1<<n - 1
		codes = append(codes, widthCode{code, width})
		switch {
		case code == 257:
			return codes
		case code == 256:
			width, entry = 9, 256 // the next code makes no entry
			continue
		}
		if entry++; entry == 510 || entry == 1022 || entry == 2046 {
			width++
		}
	}
	return codes
}

// novel returns n bytes, at most 32768, in which no pair of neighbours occurs twice, so
// that every code stands for a single byte and adds an entry.
func novel(n int) []byte {
	var b []byte
	for step := 1; len(b) < n; step += 2 {
		for i := range 256 {
			b = append(b, byte(i*step))
		}
	}
	return b[:n]
}

// The worked example of TIFF 6.0 section 13 (from memory).
func TestLZWOfTheSpecificationsExample(t *testing.T) {
	out := lzwEncode(new(lzwEncoder), []byte{7, 7, 7, 8, 8, 7, 7, 6, 6}, 9)
	var codes []int
	for _, c := range lzwCodes(out) {
		codes = append(codes, c.code)
	}
	if want := []int{256, 7, 258, 8, 8, 258, 6, 6, 257}; !slices.Equal(codes, want) {
		t.Errorf("codes %v, want %v", codes, want)
	}
	if len(out) != 11 { // nine codes of nine bits
		t.Errorf("%d bytes, want 11", len(out))
	}
}

// Every code adds one entry, the first of which is 258. So code 254 adds entry 511, and
// code 255 is the first with 10 bits; likewise 767 and 1791. Code 3837 adds entry 4094,
// and the clear code follows, still with 12 bits.
func TestCodesWidenEarlyAndTheTableIsCleared(t *testing.T) {
	codes := lzwCodes(lzwEncode(new(lzwEncoder), novel(8000), 100))
	for i, want := range map[int]widthCode{
		0: {256, 9}, 254: {-1, 9}, 255: {-1, 10}, 766: {-1, 10}, 767: {-1, 11},
		1790: {-1, 11}, 1791: {-1, 12}, 3837: {-1, 12}, 3838: {256, 12}, 3839: {-1, 9}, 7676: {256, 12},
	} {
		if got := codes[i]; got.width != want.width || want.code >= 0 && got.code != want.code || want.code < 0 && got.code > 255 {
			t.Errorf("code %d is %v, want %v", i, got, want)
		}
	}
}

// boundaries are lengths of novel data for which the end code is near a change of width
// or a clear code.
func boundaries() (n []int) {
	for _, k := range []int{254, 766, 1790, 3837, 3837 + 254, 2 * 3837} {
		n = append(n, k-2, k-1, k, k+1, k+2)
	}
	return n
}

func TestLZWIsReadBackAtEveryBoundary(t *testing.T) {
	e := new(lzwEncoder)
	for _, n := range append(boundaries(), 0, 1, 2, 3) {
		data := novel(n)
		if got, err := lzwDecode(lzwEncode(e, data, 50)); err != nil || !bytes.Equal(got, data) {
			t.Errorf("%d bytes of novel data: read back %d bytes, %v", n, len(got), err)
		}
	}
}

// Most programs read TIFF with libtiff. A picture one pixel wide has no differences, so
// the encoder gets its samples unchanged.
func TestLibtiffReadsLZWAtEveryBoundary(t *testing.T) {
	for _, n := range boundaries() {
		h := header(1, n, 8, Grey, LZW)
		h.RowsPerStrip = n
		px := make([]uint16, n)
		for i, b := range novel(n) {
			px[i] = uint16(b) << 8
		}
		path, _ := writeFile(t, h, px, classicLimit)
		if got := libtiffPixels(t, path); !bytes.Equal(got, novel(n)) {
			t.Errorf("%d bytes of novel data differ", n)
		}
	}
}

func TestLZWKeepsEveryKindOfDataAndItsBound(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	noise := make([]byte, 100000)
	for i := range noise {
		noise[i] = byte(rng.Uint32())
	}
	e := new(lzwEncoder)
	for name, data := range map[string][]byte{
		"nothing":        nil,
		"noise":          noise,
		"no pair twice":  novel(32768), // the worst: a code for every byte
		"one colour":     make([]byte, 8_000_000),
		"white":          bytes.Repeat([]byte{255}, 12345),
		"two in turn":    bytes.Repeat([]byte{0, 255}, 5000),
		"grass and sky":  sampleBytes(marsh(100, 100, 3), 16),
		"hash neighbour": bytes.Repeat([]byte{0, 0, 1, 0, 0, 2}, 999),
	} {
		out := lzwEncode(e, data, 999)
		got, err := lzwDecode(out)
		if err != nil || !bytes.Equal(got, data) {
			t.Errorf("%s: %d bytes came back as %d, %v", name, len(data), len(got), err)
		}
		if bound := lzwBound(int64(len(data))); int64(len(out)) > bound {
			t.Errorf("%s: %d bytes became %d, above the bound %d", name, len(data), len(out), bound)
		}
		if fresh := lzwEncode(new(lzwEncoder), data, 7); !bytes.Equal(fresh, out) {
			t.Errorf("%s: a used encoder or other rows give other bytes", name)
		}
	}
	// A single colour suits LZW: every code stands for a byte more than the last, so 3837
	// codes stand for 7.4 million bytes.
	if out := lzwEncode(e, make([]byte, 7_000_000), 1000); len(out) > 3837*12/8 {
		t.Errorf("7 million equal bytes became %d", len(out))
	}
}

func FuzzLZW(f *testing.F) {
	f.Add([]byte(nil), uint8(1))
	f.Add([]byte{7, 7, 7, 8, 8, 7, 7, 6, 6}, uint8(3))
	f.Add(novel(4000), uint8(255)) // past a clear code
	e := new(lzwEncoder)
	f.Fuzz(func(t *testing.T, data []byte, row uint8) {
		out := lzwEncode(e, data, int(row)+1)
		if int64(len(out)) > lzwBound(int64(len(data))) {
			t.Fatalf("%d bytes became %d", len(data), len(out))
		}
		got, err := lzwDecode(out)
		if err != nil || !bytes.Equal(got, data) {
			t.Fatal(fmt.Errorf("%d bytes came back as %d: %w", len(data), len(got), err))
		}
	})
}
