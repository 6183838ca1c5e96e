package tiff

import (
	"bytes"
	"compress/zlib"
	"io"
	"math/rand/v2"
	"testing"
)

func deflateRows(d *deflater, data []byte, flat bool) []byte {
	d.begin(nil, flat)
	for at := 0; at < len(data); at += 1000 {
		d.write(data[at:min(at+1000, len(data))])
	}
	out, err := d.end()
	if err != nil {
		panic(err)
	}
	return out
}

// Go's own zlib reads it, including the checksum, and no data exceeds the bound by which
// disk space is reserved.
func TestDeflateIsReadBackAndKeepsItsBound(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	noise := make([]byte, 1<<20)
	for i := range noise {
		noise[i] = byte(rng.Uint32())
	}
	nearly := bytes.Clone(noise) // noise that is slightly compressible
	for i := range nearly {
		if nearly[i] > 250 {
			nearly[i] = 0
		}
	}
	d := new(deflater)
	for name, data := range map[string][]byte{
		"noise": noise, "nearly noise": nearly, "a byte": {7}, "one colour": make([]byte, 1<<20),
		"a block": noise[:65535], "a block and a byte": noise[:65536], "little": noise[:100],
		"picture": sampleBytes(marsh(300, 300, 3), 16), "no pair twice": novel(32768),
	} {
		for _, flat := range []bool{false, true} {
			out := deflateRows(d, data, flat)
			if most := deflateBound(int64(len(data))); int64(len(out)) > most {
				t.Errorf("%s, flat %v: %d bytes became %d, above %d", name, flat, len(data), len(out), most)
			}
			r, err := zlib.NewReader(bytes.NewReader(out))
			if err != nil {
				t.Fatal(err)
			}
			if got, err := io.ReadAll(r); err != nil || !bytes.Equal(got, data) {
				t.Errorf("%s, flat %v: %d bytes came back as %d, %v", name, flat, len(data), len(got), err)
			}
			if fresh := deflateRows(new(deflater), data, flat); !bytes.Equal(fresh, out) {
				t.Errorf("%s, flat %v: a reused compressor gives other bytes", name, flat)
			}
		}
	}
}

// whiteBorder paints the left share of every row white.
func whiteBorder(px []uint16, width, n int, share float64) []uint16 {
	for at := 0; at < len(px); at += width * n {
		for i := range int(share*float64(width)) * n {
			px[at+i] = 65535
		}
	}
	return px
}

func TestPaperIsFlatAndPhotographsAreNot(t *testing.T) {
	const width, rows = 640, 32
	for _, n := range []int{1, 3, 4} {
		for share, want := range map[float64]bool{0: false, 0.3: false, 0.7: true, 1: true} {
			px := whiteBorder(marsh(width, rows, n), width, n, share)
			if got := mostlyFlat(px, width*n, n); got != want {
				t.Errorf("%d samples, 16 bits, %v white: flat is %v", n, share, got)
			}
			if got := mostlyFlat(high(px), width*n, n); got != want {
				t.Errorf("%d samples, 8 bits, %v white: flat is %v", n, share, got)
			}
		}
	}
	if mostlyFlat([]uint8{1, 1, 1}, 3, 1) {
		t.Error("a row too short to test was taken for flat")
	}
}

// Noise in the low byte must not prevent savings in the high byte, and white paper must
// cost almost nothing.
func TestDeflateShrinksNoisyPicturesAndPaper(t *testing.T) {
	h := header(2000, 32, 16, RGB, Deflate)
	h.RowsPerStrip = 32
	e := h.NewEncoder()
	for share, most := range map[float64]float64{0: 0.85, 1: 0.01} {
		out, err := e.Strip16(nil, whiteBorder(marsh(2000, 32, 3), 2000, 3, share), 32)
		if err != nil {
			t.Fatal(err)
		}
		if got := float64(len(out)) / (2000 * 32 * 6); got > most {
			t.Errorf("%v white: %.3f of the size, want at most %v", share, got, most)
		}
	}
}
