package intake

import (
	"bytes"
	"errors"
	"io"
)

// blanks are the parts of a file that were all zeros when it was read. A program that
// reserves the whole size first fills them later. They are looked at twice, for a change of their bytes need not show in the modification time: a share
// may keep the time that its client set, and so does mapped memory for as long as its
// page has not been written back.
type blanks struct{ spans []span }

// span is the bytes [from, to) of a file.
type span struct{ from, to int64 }

// blank is the size of the parts that are looked at, in bytes: a page.
const blank = 4096

// readAtOnce is how much is read at a time, in bytes: many pages.
const readAtOnce = 1 << 20

// blanksOf reads the first size bytes of a file.
func blanksOf(r io.ReaderAt, size int64) (*blanks, error) {
	b := &blanks{}
	err := inPages(r, span{0, size}, func(at span, page []byte) bool {
		if isBlank(page) {
			b.add(at)
		}
		return true
	})
	return b, err
}

// add joins a span to the last one where they meet.
func (b *blanks) add(s span) {
	if n := len(b.spans); n > 0 && b.spans[n-1].to == s.from {
		b.spans[n-1].to = s.to
		return
	}
	b.spans = append(b.spans, s)
}

// still reports whether they are still zeros. It reads nothing else.
func (b *blanks) still(r io.ReaderAt) (is bool, err error) {
	is = true
	for _, s := range b.spans {
		err = inPages(r, s, func(_ span, page []byte) bool {
			is = isBlank(page)
			return is
		})
		if err != nil || !is {
			return false, err
		}
	}
	return true, nil
}

// inPages reads a span page by page, until do returns false.
func inPages(r io.ReaderAt, s span, do func(span, []byte) bool) error {
	buf := make([]byte, min(readAtOnce, s.to-s.from))
	for at := s.from; at < s.to; at += int64(len(buf)) {
		buf = buf[:min(int64(len(buf)), s.to-at)]
		n, err := r.ReadAt(buf, at)
		switch {
		case n == len(buf):
		case errors.Is(err, io.EOF):
			return errOther // it has shrunk
		default:
			return err
		}
		for from := 0; from < len(buf); from += blank {
			to := min(from+blank, len(buf))
			if !do(span{at + int64(from), at + int64(to)}, buf[from:to]) {
				return nil
			}
		}
	}
	return nil
}

var zeros [blank]byte

func isBlank(page []byte) bool { return bytes.Equal(page, zeros[:len(page)]) }
