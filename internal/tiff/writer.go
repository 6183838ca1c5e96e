package tiff

import (
	"errors"
	"fmt"
	"io"
)

// classicLimit is where classic TIFF ends: offsets are 32-bit.
const classicLimit = 1 << 32

// Writer writes a print file from its encoded strips, in order. It is not safe
// for concurrent use.
type Writer struct {
	w       io.WriteSeeker
	h       Header
	pos     int64 // where the next bytes go
	offsets []int64
	counts  []int64
	limit   int64 // files ending at or beyond it are BigTIFF; classicLimit but in tests
	big     bool
	err     error // the first error, or errClosed; nothing is written after it
}

var errClosed = errors.New("the TIFF is already complete; nothing can be added to it")

// NewWriter begins a print file on w, which must be empty. Faults of h and of w
// are errors. The file is no TIFF until [Writer.Close].
func NewWriter(w io.WriteSeeker, h Header) (*Writer, error) {
	if err := h.Validate(); err != nil {
		return nil, err
	}
	// Old bytes beyond the new ones would stay in the file.
	end, err := w.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, fmt.Errorf("cannot begin the TIFF: %w", err)
	}
	if end != 0 {
		return nil, fmt.Errorf("cannot begin the TIFF: the file already holds %d bytes; give an empty one", end)
	}
	tw := &Writer{w: w, h: h, limit: classicLimit}
	if err := tw.write("the first bytes of the TIFF", make([]byte, headerBytes)); err != nil {
		return nil, err
	}
	return tw, nil
}

// WriteStrip writes the next strip as an [Encoder] made it. It is an error to
// give more strips than the header has, or bytes that cannot be one of its
// strips; after an error of writing, all further calls return that error.
func (w *Writer) WriteStrip(encoded []byte) error {
	if w.err != nil {
		return w.err
	}
	i, strips := len(w.counts), w.h.Strips()
	if i == strips {
		return fmt.Errorf("the TIFF has all of its %d strips; one more was given", strips)
	}
	if err := w.checkStrip(i, int64(len(encoded))); err != nil {
		return err
	}
	offset := w.pos
	what := fmt.Sprintf("strip %d of %d", i+1, strips)
	if err := w.write(what, encoded); err != nil {
		return err
	}
	if w.pos%2 == 1 { // TIFF wants strips and directories on even offsets
		if err := w.write(what, []byte{0}); err != nil {
			return err
		}
	}
	w.offsets = append(w.offsets, offset)
	w.counts = append(w.counts, int64(len(encoded)))
	return nil
}

// checkStrip refuses sizes that no encoder of this header gives.
func (w *Writer) checkStrip(i int, size int64) error {
	raw := w.h.stripBytes(i)
	if w.h.Compression == None && size != raw {
		return fmt.Errorf("strip %d has %d bytes; uncompressed, its %d rows have %d", i+1, size, w.h.StripRows(i), raw)
	}
	if most := w.h.Compression.maxBytes(raw); size == 0 || size > most {
		return fmt.Errorf("strip %d has %d bytes; its %d rows in %v have 1 to %d", i+1, size, w.h.StripRows(i), w.h.Compression, most)
	}
	return nil
}

// Close completes the file: directories, tables, then the header. It is an error
// if strips are missing, or if the file is complete already. It neither syncs
// nor closes the file underneath.
func (w *Writer) Close() error {
	if w.err != nil {
		return w.err
	}
	if have, strips := len(w.counts), w.h.Strips(); have != strips {
		return fmt.Errorf("the TIFF has %d of its %d strips; write the others before closing it", have, strips)
	}
	tail, ifd := w.directories()
	if err := w.write("the TIFF's directory", tail); err != nil {
		return err
	}
	if err := w.patchHeader(ifd); err != nil {
		return err
	}
	w.err = errClosed
	return nil
}

// directories settles whether the file is a BigTIFF, and is what follows the
// strips, and the main directory's offset.
func (w *Writer) directories() (tail []byte, ifd int64) {
	if w.pos < w.limit { // no offset is cut off
		tail, ifd = w.h.tail(w.pos, false, w.offsets, w.counts)
		if w.pos+int64(len(tail)) < w.limit {
			return tail, ifd
		}
	}
	w.big = true
	return w.h.tail(w.pos, true, w.offsets, w.counts)
}

func (w *Writer) patchHeader(ifd int64) error {
	const what = "the TIFF's header"
	if _, err := w.w.Seek(0, io.SeekStart); err != nil {
		return w.fail(what, err)
	}
	size := w.pos
	err := w.write(what, fileHeader(w.big, ifd))
	w.pos = size
	return err
}

func (w *Writer) write(what string, b []byte) error {
	n, err := w.w.Write(b)
	w.pos += int64(n)
	if err == nil && n < len(b) {
		err = io.ErrShortWrite
	}
	if err != nil {
		return w.fail(what, err)
	}
	return nil
}

// fail keeps the error for all later calls: the file is beyond saving.
func (w *Writer) fail(what string, err error) error {
	w.err = fmt.Errorf("cannot write %s: %w", what, err)
	return w.err
}

// Big reports, once closed, whether the file is a BigTIFF.
func (w *Writer) Big() bool { return w.big }

// Size is the number of bytes written so far; once closed, the file's size.
func (w *Writer) Size() int64 { return w.pos }
