package tiff

import (
	"bytes"
	"errors"
	"fmt"
	"io"

	"github.com/klauspost/compress/zlib"
	"golang.org/x/image/tiff/lzw"
)

// Reader reads a file that a [Writer] wrote, strip by strip.
type Reader struct {
	Header // of its raster alone: no texts and no camera

	r               io.ReaderAt
	offsets, counts []int64
}

// NewReader reads the directory of a file of size bytes. The error completes a sentence
// about the file.
func NewReader(r io.ReaderAt, size int64) (*Reader, error) {
	d, err := openDirectory(r, size)
	if err != nil {
		return nil, err
	}
	t := &Reader{r: r}
	if t.offsets, err = d.numbers(tagStripOffsets); err != nil {
		return nil, err
	}
	if t.counts, err = d.numbers(tagStripByteCounts); err != nil {
		return nil, err
	}
	bits, err := d.numbers(tagBitsPerSample)
	if err != nil || len(bits) == 0 {
		return nil, errCut
	}
	t.Header = Header{
		Width: int(d.number(tagImageWidth)), Height: int(d.number(tagImageLength)), Bits: int(bits[0]),
		RowsPerStrip: int(d.number(tagRowsPerStrip)), Profile: d.bytes(tagICCProfile),
	}
	for p := Grey; p <= CMYK; p++ {
		if int64(p.tag()) == d.number(tagPhotometric) {
			t.Photometric = p
		}
	}
	for c := None; c <= LZW; c++ {
		if int64(c.tag()) == d.number(tagCompression) {
			t.Compression = c
		}
	}
	if ppi := d.bytes(tagXResolution); len(ppi) == 8 {
		t.PPI = Rational{le.Uint32(ppi), le.Uint32(ppi[4:])}
	}
	if err := t.Validate(); err != nil {
		return nil, err
	}
	if len(t.offsets) != t.Strips() || len(t.counts) != t.Strips() || int(d.number(tagSamplesPerPixel)) != t.Photometric.Samples() {
		return nil, errCut
	}
	return t, nil
}

// Strip returns the samples of a strip as bytes, little-endian, in place of dst, whose
// memory it uses.
func (t *Reader) Strip(dst []byte, i int) ([]byte, error) {
	n := int(t.stripBytes(i))
	if cap(dst) < n {
		dst = make([]byte, n)
	}
	dst = dst[:n]
	raw := io.NewSectionReader(t.r, t.offsets[i], t.counts[i])
	var from io.Reader = raw
	switch t.Compression {
	case Deflate:
		z, err := zlib.NewReader(raw)
		if err != nil {
			return nil, fmt.Errorf("strip %d of %d: %w", i+1, t.Strips(), err)
		}
		defer z.Close()
		from = z
	case LZW:
		z := lzw.NewReader(raw, lzw.MSB, 8)
		defer z.Close()
		from = z
	}
	if _, err := io.ReadFull(from, dst); err != nil {
		if errors.Is(err, io.EOF) {
			err = io.ErrUnexpectedEOF
		}
		return nil, fmt.Errorf("strip %d of %d: %w", i+1, t.Strips(), err)
	}
	if t.Compression.predicts() {
		for row := range t.StripRows(i) {
			t.sum(dst[row*t.rowBytes():][:t.rowBytes()])
		}
	}
	return dst, nil
}

// sum undoes the predictor of a row.
func (t *Reader) sum(row []byte) {
	n := t.Photometric.Samples()
	if t.Bits == 8 {
		for i := n; i < len(row); i++ {
			row[i] += row[i-n]
		}
		return
	}
	for i := 2 * n; i < len(row); i += 2 {
		le.PutUint16(row[i:], le.Uint16(row[i:])+le.Uint16(row[i-2*n:]))
	}
}

// SameForm tells whether the samples of another file mean the same, so that both can be
// copied into one.
func (h Header) SameForm(o Header) bool {
	return h.Bits == o.Bits && h.Photometric == o.Photometric && h.PPI == o.PPI && bytes.Equal(h.Profile, o.Profile)
}

// bytes returns the value of a field as it stands, nil for none.
func (d *directory) bytes(tag uint16) []byte {
	f := d.fields[tag]
	if f == nil {
		return nil
	}
	each := map[kind]uint64{kindByte: 1, kindASCII: 1, kindUndefined: 1, kindRational: 8}[kind(le.Uint16(f[2:]))]
	n, value := uintOf(f[4:4+d.word]), f[4+d.word:]
	if each == 0 || n > uint64(d.size) {
		return nil
	}
	if n *= each; n <= uint64(d.word) {
		return value[:n]
	}
	b, _ := d.read(int64(uintOf(value)), int(n))
	return b
}
