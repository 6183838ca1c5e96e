package tiff

import (
	"fmt"
	"slices"
)

// codec compresses the bytes of a strip row by row and appends them to a buffer.
type codec interface {
	// begin starts a strip whose bytes are appended to dst. flat means that most of the
	// strip has one colour.
	begin(dst []byte, flat bool)
	write(row []byte)
	// end completes the strip and returns dst, extended. It keeps no reference to it.
	end() ([]byte, error)
}

// Encoder turns samples into strips for a [Writer]. It reuses its buffers and is not
// safe for concurrent use: give each goroutine its own. It holds one row and the
// compressor's tables, about 1.2 MiB at most besides the row.
type Encoder struct {
	h     Header
	err   error // what is wrong with the header
	row   []byte
	codec codec
}

// NewEncoder returns an encoder for the strips of a file with header h. If h is not
// valid, every method of the encoder returns the error.
func (h Header) NewEncoder() *Encoder {
	e := &Encoder{h: h, err: h.Validate()}
	if e.err != nil {
		return e
	}
	e.row = make([]byte, h.rowBytes())
	switch h.Compression {
	case Deflate:
		e.codec = new(deflater)
	case LZW:
		e.codec = new(lzwEncoder)
	default:
		e.codec = new(store)
	}
	return e
}

// Strip8 encodes a strip of 8-bit samples, appends it to dst and returns dst. Samples
// are interleaved, in rows from top to bottom, rows*Width pixels in all. They are not
// changed. rows must be RowsPerStrip, or the number of rows of the last strip. Strip8
// returns an error if the header says 16 bits.
func (e *Encoder) Strip8(dst []byte, samples []uint8, rows int) ([]byte, error) {
	if err := e.check(8, len(samples), rows); err != nil {
		return dst, err
	}
	if e.h.Compression.predicts() {
		return encode(e, dst, samples, difference8)
	}
	return encode(e, dst, samples, plain8)
}

// Strip16 is like Strip8, for 16-bit samples, 0 to 65535.
func (e *Encoder) Strip16(dst []byte, samples []uint16, rows int) ([]byte, error) {
	if err := e.check(16, len(samples), rows); err != nil {
		return dst, err
	}
	if e.h.Compression.predicts() {
		return encode(e, dst, samples, difference16)
	}
	return encode(e, dst, samples, plain16)
}

func (e *Encoder) check(bits, samples, rows int) error {
	if e.err != nil {
		return e.err
	}
	if bits != e.h.Bits {
		return fmt.Errorf("samples of %d bits were given for a TIFF of %d bits; use Strip%d", bits, e.h.Bits, e.h.Bits)
	}
	full, last := e.h.StripRows(0), e.h.StripRows(e.h.Strips()-1)
	if rows != full && rows != last {
		return fmt.Errorf("a strip of %d rows was given; this TIFF has strips of %d rows, the last of %d", rows, full, last)
	}
	if want := rows * e.h.rowSamples(); samples != want {
		return fmt.Errorf("%d samples were given for a strip; %d rows of %d %v pixels have %d",
			samples, rows, e.h.Width, e.h.Photometric, want)
	}
	return nil
}

// encode works row by row so that a row is still in the cache when it is compressed.
func encode[T sample](e *Encoder, dst []byte, samples []T, pack packer[T]) ([]byte, error) {
	n, width := e.h.Photometric.Samples(), e.h.rowSamples()
	rows := len(samples) / width
	dst = slices.Grow(dst, int(e.h.Compression.maxBytes(int64(rows)*int64(len(e.row)))))
	e.codec.begin(dst, e.h.Compression == Deflate && mostlyFlat(samples, width, n))
	for y := range rows {
		pack(e.row, samples[y*width:(y+1)*width], n)
		e.codec.write(e.row)
	}
	return e.codec.end()
}

// store is the codec of None.
type store struct{ out []byte }

func (s *store) begin(dst []byte, _ bool) { s.out = dst }
func (s *store) write(row []byte)         { s.out = append(s.out, row...) }
func (s *store) end() ([]byte, error) {
	out := s.out
	s.out = nil
	return out, nil
}
