package tiff

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"sizewright/internal/testkit/reference"
	"testing"
)

// header returns a valid header for w x h pixels in several strips, the last one shorter.
func header(w, h, bits int, p Photometric, c Compression) Header {
	return Header{Width: w, Height: h, Bits: bits, Photometric: p, RowsPerStrip: 7, Compression: c, PPI: Rational{360, 1}}
}

// marsh returns a picture like a photograph: a smooth sky, grass with fine texture, sensor
// noise of about 0.6 %, and both ends of the range. It has rows rows of width pixels with
// n 16-bit samples each.
func marsh(width, rows, n int) []uint16 {
	rng := rand.New(rand.NewPCG(2026, 3))
	px := make([]uint16, width*rows*n)
	for i := range px {
		x, y, c := i/n%width, i/n/width, i%n
		v := 30000 + 12000*math.Sin(float64(x+2*y)/97+float64(c)) + 400*rng.NormFloat64()
		if 3*y > 2*rows {
			v += 6000 * math.Sin(float64(x*(y+3))/5)
		}
		px[i] = uint16(min(max(v, 0), 65535))
	}
	px[0], px[len(px)-1] = 0, 65535
	return px
}

// high returns the picture in 8 bits.
func high(px []uint16) []uint8 {
	out := make([]uint8, len(px))
	for i, v := range px {
		out[i] = uint8(v >> 8)
	}
	return out
}

// sampleBytes returns the picture as readers decode it: interleaved, little-endian.
func sampleBytes(px []uint16, bits int) []byte {
	if bits == 8 {
		return high(px)
	}
	var b []byte
	for _, v := range px {
		b = binary.LittleEndian.AppendUint16(b, v)
	}
	return b
}

// encodeStrip encodes strip i of px, with 8 or 16 bits.
func encodeStrip(e *Encoder, dst []byte, px []uint16, i int) ([]byte, error) {
	h := e.h
	start := i * h.RowsPerStrip * h.rowSamples()
	strip := px[start : start+h.StripRows(i)*h.rowSamples()]
	if h.Bits == 8 {
		return e.Strip8(dst, high(strip), h.StripRows(i))
	}
	return e.Strip16(dst, strip, h.StripRows(i))
}

// writeFile writes px to a new file and returns its path and its writer, closed.
// A file that would end at or above limit becomes BigTIFF.
func writeFile(t *testing.T, h Header, px []uint16, limit int64) (string, *Writer) {
	t.Helper()
	f, err := os.Create(filepath.Join(t.TempDir(), "print.tif"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w, err := NewWriter(f, h)
	if err != nil {
		t.Fatal(err)
	}
	w.limit = limit
	e := h.NewEncoder()
	var buf []byte
	for i := range h.Strips() {
		if buf, err = encodeStrip(e, buf[:0], px, i); err != nil {
			t.Fatal(err)
		}
		if err := w.WriteStrip(buf); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	info, err := f.Stat()
	if err != nil {
		t.Fatal(err)
	}
	if info.Size() != w.Size() {
		t.Fatalf("Size() is %d, the file has %d bytes", w.Size(), info.Size())
	}
	if w.Size() > h.MaxBytes() {
		t.Fatalf("the file has %d bytes, above MaxBytes() = %d", w.Size(), h.MaxBytes())
	}
	return f.Name(), w
}

// tool runs an outside program and returns what it printed. A missing program
// fails the test in CI and skips it elsewhere.
func tool(t *testing.T, name string, args ...string) (stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	cmd := exec.Command(reference.Tool(t, name), args...)
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s %v: %v\n%s%s", name, args, err, &out, &errs)
	}
	return out.String(), errs.String()
}

// entry is one tag as read back.
type entry struct {
	kind   uint16
	values []uint64 // numbers; rationals as numerator, denominator
	raw    []byte
	offset int64 // of the value, if outside the directory
}

// readTIFF reads the magic number and the main directory. It was written from the
// specifications, independently of the writer.
func readTIFF(t *testing.T, b []byte) (magic uint16, tags map[uint16]entry) {
	t.Helper()
	if string(b[:2]) != "II" {
		t.Fatalf("file begins with %q, not little-endian's II", b[:2])
	}
	magic = binary.LittleEndian.Uint16(b[2:])
	switch magic {
	case 42:
		tags = readDirectory(t, b, uint64(binary.LittleEndian.Uint32(b[4:])), false)
	case 43:
		if b[4] != 8 || b[5] != 0 || b[6] != 0 || b[7] != 0 {
			t.Fatalf("BigTIFF header is % x", b[:8])
		}
		tags = readDirectory(t, b, binary.LittleEndian.Uint64(b[8:]), true)
	default:
		t.Fatalf("magic number %d", magic)
	}
	return magic, tags
}

func readDirectory(t *testing.T, b []byte, at uint64, big bool) map[uint16]entry {
	t.Helper()
	le := binary.LittleEndian
	word := func(b []byte) uint64 { return uint64(le.Uint32(b)) }
	wordBytes, countBytes := 4, 2
	count := int(le.Uint16(b[at:]))
	if big {
		word, wordBytes, countBytes = le.Uint64, 8, 8
		count = int(le.Uint64(b[at:]))
	}
	tags := map[uint16]entry{}
	last, p := uint16(0), b[at+uint64(countBytes):]
	for range count {
		tag, e := le.Uint16(p), entry{kind: le.Uint16(p[2:])}
		n := int(word(p[4:]))
		size := n * map[uint16]int{2: 1, 3: 2, 4: 4, 5: 8, 7: 1, 16: 8, 18: 8}[e.kind]
		if e.raw = p[4+wordBytes:][:wordBytes]; size > wordBytes {
			e.offset = int64(word(e.raw))
			e.raw = b[e.offset:]
		}
		e.raw = e.raw[:size]
		e.values = numbers(e)
		if tag <= last {
			t.Errorf("tag %d follows %d: not ascending", tag, last)
		}
		if e.offset%2 != 0 || e.offset != 0 && e.offset < headerBytes {
			t.Errorf("the value of tag %d is at offset %d", tag, e.offset)
		}
		tags[tag], last, p = e, tag, p[4+2*wordBytes:]
	}
	if next := word(p); next != 0 {
		t.Errorf("another directory at %d", next)
	}
	return tags
}

func numbers(e entry) (v []uint64) {
	for r := e.raw; len(r) > 0; {
		switch e.kind {
		case 3:
			v, r = append(v, uint64(binary.LittleEndian.Uint16(r))), r[2:]
		case 4, 5:
			v, r = append(v, uint64(binary.LittleEndian.Uint32(r))), r[4:]
		case 16, 18:
			v, r = append(v, binary.LittleEndian.Uint64(r)), r[8:]
		default:
			return nil
		}
	}
	return v
}

// profile returns the minimum that is accepted as an ICC profile of a colour space, of any
// length from 128.
func profile(space string, size int) []byte {
	b := make([]byte, size)
	copy(b[16:], space)
	copy(b[36:], "acsp")
	for i := 128; i < size; i++ {
		b[i] = byte(i)
	}
	return b
}

// every calls f for every photometric, depth and compression.
func every(t *testing.T, f func(t *testing.T, p Photometric, bits int, c Compression)) {
	for _, p := range []Photometric{Grey, RGB, CMYK} {
		for _, bits := range []int{8, 16} {
			for _, c := range []Compression{None, Deflate, LZW} {
				t.Run(fmt.Sprintf("%v/%d/%v", p, bits, c), func(t *testing.T) { f(t, p, bits, c) })
			}
		}
	}
}
