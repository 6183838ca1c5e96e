package photo

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"sizewright/internal/hold"
	"sizewright/internal/plural"
)

// A copy that stopped half way no longer changes, and no program has it open. Only its
// end shows that it is not whole. Each format marks its end in its own way: a JPEG by a
// marker, a PNG by a chunk, a TIFF by saying where everything lies. Only the end is
// checked here. A file that is whole but damaged has its end; decoding finds the damage.

// Unended is why a file is not whole yet. It depends on the file's bytes alone.
type Unended struct {
	Missing string // "its end is missing: 3.1 MB of about 8.0 MB are there"
}

func (u *Unended) Error() string { return u.Missing }

// Hold is why the file of that name makes no print.
func (u *Unended) Hold(name string) *hold.Hold {
	return Unfinished.Say("%s is unfinished: %s", name, u.Missing)
}

// Sparse is a reader that can tell bytes that were never written from bytes that are
// zero. The reader given to [Ended] may be one.
type Sparse interface {
	// Hole tells whether any of the n bytes from at on were never written. n is at least 1.
	Hole(at, n int64) bool
}

// Ended checks that a file of size bytes has its end, as far as its format can tell.
// It returns nil if so, if the format is not read here, or if the file is larger than
// lim.MaxFileBytes (Open refuses that with a better message). Otherwise it returns an
// [*Unended] or an error of reading. It reads headers and the end. It reads all of a
// file only for a JPEG whose end marker is not at its end.
//
// A JPEG is whole without what a program adds after its end marker (the film of a moving
// picture, a second picture). Zeros are no end: a copy may have its full size set first.
func Ended(r io.ReaderAt, size int64, lim Limits) (err error) {
	if size > lim.MaxFileBytes {
		return nil
	}
	defer func() {
		if recover() != nil {
			err = nil // decoding, which is better guarded, will report it
		}
	}()
	return unguardedEnd(io.NewSectionReader(r, 0, size), lim)
}

func unguardedEnd(src *io.SectionReader, lim Limits) error {
	size := src.Size()
	head := make([]byte, min(size, headBytes))
	if _, err := src.ReadAt(head, 0); err != nil && err != io.EOF {
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
	return format.whole(src, lim)
}

// headBytes is how many zeros at the beginning rule out every format. File systems
// write this much at once.
const headBytes = 4096

// tailBytes is how many zeros at the end rule out every format.
const tailBytes = 32

// beginsSignature reports whether a file could become a picture: it has the first bytes
// of a signature, and then nothing or zeros.
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

// tooShort is for a file that has only size of about so many bytes. about is 0 if it is
// not known.
func tooShort(size, about int64) *Unended {
	if about <= size {
		return &Unended{"its end is missing: only " + bytesText(size) + " are there"}
	}
	return &Unended{fmt.Sprintf("its end is missing: %s of about %s are there", bytesText(size), bytesText(about))}
}

// holed is for a file that has its end and lacks something before it.
func holed(size int64) *Unended {
	return &Unended{"a part before its end is missing: not all of its " + bytesText(size) + " were ever written"}
}

// noEnd is for a file without an end: it ends in zeros, or is cut.
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

// endsIn reports whether the file ends in mark, perhaps with padding after it, and where
// the mark ends. Cameras and recovery programs fill the last block of their card.
func endsIn(src *io.SectionReader, mark string) (end int64, is bool, err error) {
	const cluster = 64 << 10
	tail, err := tailOf(src, cluster)
	if err != nil {
		return 0, false, err
	}
	begin := src.Size() - int64(len(tail))
	tail = bytes.TrimRight(tail, "\x00\r\n")
	return begin + int64(len(tail)), bytes.HasSuffix(tail, []byte(mark)), nil
}

// hole tells whether some of the n bytes from at on were never written, if the reader
// that [Ended] was given can tell.
func hole(src *io.SectionReader, at, n int64) bool {
	r, _, _ := src.Outer()
	s, can := r.(Sparse)
	return can && n > 0 && s.Hole(at, n)
}

// withoutHole is nil unless a part before end was never written. Coded data are never
// zero for long, so a hole in them is still to be filled.
func withoutHole(src *io.SectionReader, end int64) error {
	if hole(src, 0, end) {
		return holed(src.Size())
	}
	return nil
}

// fromDisk tells a fault of the file system from one of the bytes.
func fromDisk(err error) bool {
	var disk *fs.PathError
	return errors.As(err, &disk)
}

func allZero(b []byte) bool { return len(bytes.TrimLeft(b, "\x00")) == 0 }

// bytesText writes a number of bytes in decimal units, as file managers do.
func bytesText(n int64) string {
	switch {
	case n < 1000:
		return plural.Count(n, "byte", "bytes")
	case n < 1_000_000:
		return fmt.Sprintf("%.1f kB", float64(n)/1e3)
	}
	return fmt.Sprintf("%.1f MB", float64(n)/1e6)
}
