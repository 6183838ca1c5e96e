package tiff

import (
	"fmt"
	"io"

	"sizewright/internal/remedy"
)

// classicLimit is the size limit of classic TIFF: its offsets are 32-bit.
const classicLimit = 1 << 32

// Writer writes a print file from its encoded strips, in order. It is not safe for
// concurrent use.
type Writer struct {
	w       io.WriteSeeker
	h       Header
	pos     int64 // offset of the next write
	offsets []int64
	counts  []int64
	limit   int64 // files of at least this size are BigTIFF; classicLimit except in tests
	big     bool
	err     error // the first error, or errClosed; nothing is written after it
}

var errClosed = remedy.Errorf("nothing can be added to it", "the TIFF is already complete")

// NewWriter starts a print file on w, which must be empty. It returns an error if h is
// not valid or w fails. The file is not a valid TIFF until [Writer.Close].
func NewWriter(w io.WriteSeeker, h Header) (*Writer, error) {
	if err := h.Validate(); err != nil {
		return nil, err
	}
	// Old bytes beyond the new ones would remain in the file.
	end, err := w.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, fmt.Errorf("cannot begin the TIFF: %w", err)
	}
	if end != 0 {
		return nil, remedy.Errorf("give an empty one", "cannot begin the TIFF: the file already holds %d bytes", end)
	}
	tw := &Writer{w: w, h: h, limit: classicLimit}
	if err := tw.write("the first bytes of the TIFF", make([]byte, headerBytes)); err != nil {
		return nil, err
	}
	return tw, nil
}

// WriteStrip writes the next strip as an [Encoder] made it. It returns an error if the
// header has no more strips, or if the bytes cannot be this strip. After a write error,
// all further calls return that error.
func (w *Writer) WriteStrip(encoded []byte) error {
	if w.err != nil {
		return w.err
	}
	i, strips := len(w.counts), w.h.Strips()
	if i == strips {
		return fmt.Errorf("the TIFF already has all of its %d strips", strips)
	}
	if err := w.checkStrip(i, int64(len(encoded))); err != nil {
		return err
	}
	offset := w.pos
	what := fmt.Sprintf("strip %d of %d", i+1, strips)
	if err := w.write(what, encoded); err != nil {
		return err
	}
	if w.pos%2 == 1 { // TIFF requires strips and directories at even offsets
		if err := w.write(what, []byte{0}); err != nil {
			return err
		}
	}
	w.offsets = append(w.offsets, offset)
	w.counts = append(w.counts, int64(len(encoded)))
	return nil
}

// checkStrip rejects sizes that no encoder for this header produces.
func (w *Writer) checkStrip(i int, size int64) error {
	raw := w.h.stripBytes(i)
	if w.h.Compression == None && size != raw {
		return fmt.Errorf("strip %d has %d bytes; uncompressed, its %d rows have %d", i+1, size, w.h.StripRows(i), raw)
	}
	if most := w.h.Compression.maxBytes(raw); size == 0 || size > most {
		return fmt.Errorf("strip %d has %d bytes; its %d rows compressed by %v have 1 to %d", i+1, size, w.h.StripRows(i), w.h.Compression, most)
	}
	return nil
}

// Close completes the file: directories, tables, then the header. It returns an error
// if strips are missing or the file is already complete. It neither syncs nor closes
// the underlying file.
func (w *Writer) Close() error {
	if w.err != nil {
		return w.err
	}
	if have, strips := len(w.counts), w.h.Strips(); have != strips {
		return remedy.Errorf("write the others before closing it", "the TIFF has %d of its %d strips", have, strips)
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

// directories decides whether the file is a BigTIFF. It returns the bytes that follow
// the strips, and the offset of the main directory.
func (w *Writer) directories() (tail []byte, ifd int64) {
	if w.pos < w.limit { // every strip offset fits in 32 bits
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

// fail keeps the error for all later calls: the file cannot be completed any more.
func (w *Writer) fail(what string, err error) error {
	w.err = fmt.Errorf("cannot write %s: %w", what, err)
	return w.err
}

// Big reports whether the file is a BigTIFF. Call it after Close.
func (w *Writer) Big() bool { return w.big }

// Size returns the number of bytes written so far; after Close, the size of the file.
func (w *Writer) Size() int64 { return w.pos }
