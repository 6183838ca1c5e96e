package photo

import (
	"errors"
	"io"
)

// endedJPEG looks for the end marker after the picture's data. An EXIF block may hold
// a whole small JPEG with an end marker of its own, so the header is read up to the
// picture's own data first.
func endedJPEG(src *io.SectionReader, lim Limits) error {
	const endMarker = "\xff\xd9"
	last, marked, err := endsIn(src, endMarker)
	if err != nil {
		return err
	}
	for walk := walkJPEG(src, lim); ; {
		marker, _, err := walk.next()
		switch {
		case fromDisk(err):
			return err
		case errors.Is(err, io.ErrUnexpectedEOF), err != nil && !marked:
			return noEnd(src)
		case err != nil:
			return nil // damaged, but it has its end: nothing more will come
		case marker == markerEOI:
			return withoutHole(src, walk.at())
		case marker == markerSOS && marked && walk.at() <= last-int64(len(endMarker)):
			// In coded data 0xFF is stuffed, so the last marker is the end.
			return withoutHole(src, last)
		}
	}
}
