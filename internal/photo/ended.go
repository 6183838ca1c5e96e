package photo

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"sizewright/internal/hold"
	"sizewright/internal/plural"
)

// A copy that stopped half way is steady, and nobody has it open any more. What
// gives it away is its end, which each format marks in its own way: a JPEG by
// a marker, a PNG by a chunk, a TIFF by saying where everything lies. Here
// only that is asked. A file that is whole but damaged has its end, and it is
// for decoding to say what is wrong with it.

// Unended is why a file is not whole yet. It is an answer of its bytes: asked
// again of the same bytes it is the same.
type Unended struct {
	Missing string // what is: "its end is missing: 3.1 of about 8.0 MB are there"
}

func (u *Unended) Error() string { return u.Missing }

// Hold is why the file of that name makes no print.
func (u *Unended) Hold(name string) *hold.Hold {
	return Unfinished.Say("%s is unfinished: %s", name, u.Missing)
}

// Sparse is what the reader given to [Ended] may also be, if it can tell bytes
// that were never written from bytes that are zero.
type Sparse interface {
	// Hole tells whether any of the n bytes from at on were never written. n is at least 1.
	Hole(at, n int64) bool
}

// Ended tells whether a file of size bytes is whole as far as its format can
// tell: nil if so, if it is of no format read here, or if it is larger than
// lim.MaxFileBytes (which Open refuses in better words). Otherwise it is an
// [*Unended], or what reading said. It reads headers and the end; only a
// JPEG whose end marker is not at its end, or not there, is read all through.
//
// What a program adds after a JPEG's end marker (the film of a moving picture,
// a second picture) is not missed. Zeros where there should be an end, as in a
// copy whose full size was set first, are no end.
func Ended(r io.ReaderAt, size int64, lim Limits) (err error) {
	if size > lim.MaxFileBytes {
		return nil
	}
	defer func() {
		if recover() != nil {
			err = nil // decoding, which is better guarded, will tell
		}
	}()
	return unguardedEnd(r, size, lim)
}

func unguardedEnd(r io.ReaderAt, size int64, lim Limits) error {
	src := io.NewSectionReader(r, 0, size)
	head := make([]byte, min(size, headBytes))
	if _, err := r.ReadAt(head, 0); err != nil && err != io.EOF {
		return err
	}
	switch {
	case size == 0:
		return &Unended{"it is empty as yet"}
	case allZero(head):
		return &Unended{fmt.Sprintf("there are only zeros where its %s should begin", bytesText(size))}
	case beginsSignature(head):
		return noEnd(src)
	}
	format, err := sniff(src)
	var other *Error
	if errors.As(err, &other) {
		return nil
	}
	if err != nil {
		return err
	}
	return format.whole(r, src, lim)
}

// headBytes of zeros begin no format: it is what file systems write at once.
const headBytes = 4096

// tailBytes of zeros are no format's end.
const tailBytes = 32

// beginsSignature tells of a file that could become a picture: it has the
// first bytes of a signature, and then nothing or zeros.
func beginsSignature(head []byte) bool {
	head = bytes.TrimRight(head, "\x00")
	for _, f := range formats {
		for _, m := range f.magics {
			if f.whole != nil && len(head) < len(m.bytes) && strings.HasPrefix(m.bytes, string(head)) {
				return true
			}
		}
	}
	return false
}

// tooShort words a file of which only so much is there. about is how much
// there should be, 0 if that is not known.
func tooShort(size, about int64) *Unended {
	if about <= size {
		return &Unended{"its end is missing: only " + bytesText(size) + " are there"}
	}
	return &Unended{fmt.Sprintf("its end is missing: %s of about %s are there", bytesText(size), bytesText(about))}
}

// holed words a file that has its end and lacks something before it.
func holed(size int64) *Unended {
	return &Unended{"a part before its end is missing: not all of its " + bytesText(size) + " were ever written"}
}

// noEnd words a file that goes on to its size without an end: by zeros, or cut.
func noEnd(src *io.SectionReader) error {
	tail, err := tailOf(src, tailBytes)
	switch {
	case err != nil:
		return err
	case len(tail) == tailBytes && allZero(tail):
		return &Unended{"its end is missing: the last of its " + bytesText(src.Size()) + " are only zeros"}
	}
	return tooShort(src.Size(), 0)
}

func tailOf(src *io.SectionReader, n int64) ([]byte, error) {
	tail := make([]byte, min(src.Size(), n))
	_, err := src.ReadAt(tail, src.Size()-int64(len(tail)))
	if err == io.EOF {
		err = nil
	}
	return tail, err
}

// endsIn tells whether the file ends in mark and perhaps padding, and where
// the mark ends. Cameras and recovery programs fill the last block of their card.
func endsIn(src *io.SectionReader, mark string) (end int64, is bool, err error) {
	const sector, cluster = 512, 64 << 10
	for _, n := range []int64{sector, cluster} {
		tail, err := tailOf(src, n)
		if err != nil {
			return 0, false, err
		}
		begin := src.Size() - int64(len(tail))
		tail = bytes.TrimRight(tail, "\x00\r\n")
		if len(tail) >= len(mark) {
			return begin + int64(len(tail)), bytes.HasSuffix(tail, []byte(mark)), nil
		}
	}
	return 0, false, nil
}

// hole tells whether some of the first n bytes were never written, if r can tell.
func hole(r io.ReaderAt, at, n int64) bool {
	s, can := r.(Sparse)
	return can && n > 0 && s.Hole(at, n)
}

func allZero(b []byte) bool { return len(bytes.TrimLeft(b, "\x00")) == 0 }

// bytesText words a number of bytes in decimal units, as file managers do.
func bytesText(n int64) string {
	switch {
	case n < 1000:
		return plural.Count(n, "byte", "bytes")
	case n < 1_000_000:
		return fmt.Sprintf("%.1f kB", float64(n)/1e3)
	}
	return fmt.Sprintf("%.1f MB", float64(n)/1e6)
}
