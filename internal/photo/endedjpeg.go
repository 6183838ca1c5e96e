package photo

import (
	"bufio"
	"errors"
	"io"
	"io/fs"
)

// endedJPEG looks for the end marker after the picture's data. An EXIF block
// holds a whole small JPEG, end marker and all, so the header is walked to
// where the picture's own data begin before an end is believed.
func endedJPEG(r io.ReaderAt, src *io.SectionReader, lim Limits) error {
	const endMarker = "\xff\xd9"
	last, marked, err := endsIn(src, endMarker)
	if err != nil {
		return err
	}
	for walk := newPlacedWalk(src, lim); ; {
		marker, err := walk.next()
		switch {
		case fromDisk(err):
			return err
		case errors.Is(err, io.ErrUnexpectedEOF), err != nil && !marked:
			return noEnd(src)
		case err != nil:
			return nil // damaged, with an end: it is all that there will be
		case marker == markerEOI:
			return withoutHole(r, src, walk.at())
		case marker == markerSOS && marked && walk.at() <= last-int64(len(endMarker)):
			// In coded data 0xFF is stuffed, so the last marker is the end.
			return withoutHole(r, src, last)
		}
	}
}

// placedWalk is a jpegWalker that knows where it is.
type placedWalk struct {
	jpegWalker
	src *io.SectionReader
}

func newPlacedWalk(src *io.SectionReader, lim Limits) *placedWalk {
	whole := io.NewSectionReader(src, 0, src.Size())
	return &placedWalk{jpegWalker{r: bufio.NewReaderSize(whole, 16<<10), max: lim.MaxSegments}, whole}
}

// at is where the current segment ends.
func (w *placedWalk) at() int64 {
	read, _ := w.src.Seek(0, io.SeekCurrent) // cannot fail
	return read - int64(w.r.Buffered()) + int64(w.unread)
}

// fromDisk tells a fault of the file system from one of the bytes.
func fromDisk(err error) bool {
	var disk *fs.PathError
	return errors.As(err, &disk)
}

// withoutHole is nil unless a part before end was never written. Coded data are
// never all zero for long, so a hole in them is still to be filled.
func withoutHole(r io.ReaderAt, src *io.SectionReader, end int64) error {
	if hole(r, 0, end) {
		return holed(src.Size())
	}
	return nil
}
