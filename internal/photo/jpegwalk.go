package photo

import (
	"bufio"
	"errors"
	"io"
)

// Markers of ITU-T T.81, table B.1. A marker is the byte 0xFF and one of these.
const (
	markerSOF0  = 0xc0 // baseline
	markerSOF2  = 0xc2 // progressive
	markerDHT   = 0xc4
	markerJPG   = 0xc8
	markerDAC   = 0xcc
	markerRST0  = 0xd0
	markerRST7  = 0xd7
	markerSOI   = 0xd8
	markerEOI   = 0xd9
	markerSOS   = 0xda
	markerDQT   = 0xdb
	markerDRI   = 0xdd
	markerAPP0  = 0xe0 // JFIF
	markerAPP1  = 0xe1 // EXIF
	markerAPP2  = 0xe2 // ICC profile
	markerAPP14 = 0xee // Adobe
)

// isFrame reports whether a marker starts a frame of any of the JPEG processes.
func isFrame(marker byte) bool {
	return marker >= markerSOF0 && marker <= 0xcf &&
		marker != markerDHT && marker != markerJPG && marker != markerDAC
}

// jpegWalker goes from marker segment to marker segment of a JPEG. The coded
// data of a scan is passed over: no marker can occur inside it except the
// restart markers.
type jpegWalker struct {
	r       *bufio.Reader
	unread  int // of the current segment's payload
	visited int
	max     int
	passed  int64 // bytes that were passed over in search of markers
}

func walkJPEG(src *io.SectionReader, lim Limits) *jpegWalker {
	whole := io.NewSectionReader(src, 0, src.Size())
	return &jpegWalker{r: bufio.NewReaderSize(whole, 64<<10), max: lim.MaxSegments}
}

// next moves to the next segment and returns its marker; payload reads its
// bytes. SOI and EOI have none.
func (w *jpegWalker) next() (marker byte, err error) {
	if w.visited++; w.visited > w.max {
		return 0, errors.New("too many segments")
	}
	if _, err := w.r.Discard(w.unread); err != nil {
		return 0, noEOF(err)
	}
	w.unread = 0
	if marker, err = w.marker(); err != nil || marker == markerSOI || marker == markerEOI {
		return marker, err
	}
	var length [2]byte
	if _, err := io.ReadFull(w.r, length[:]); err != nil {
		return 0, noEOF(err)
	}
	if w.unread = int(length[0])<<8 + int(length[1]) - 2; w.unread < 0 {
		return 0, errors.New("a segment has no room for its own length")
	}
	return marker, nil
}

// marker finds the next marker that is not a stuffed byte, a fill byte or a restart.
func (w *jpegWalker) marker() (byte, error) {
	for {
		if err := w.skipTo(0xff); err != nil {
			return 0, err
		}
		w.passed--
		b, err := w.r.ReadByte()
		for err == nil && b == 0xff {
			b, err = w.r.ReadByte()
		}
		if err != nil {
			return 0, noEOF(err)
		}
		switch {
		case b == 0:
			w.passed += 2
		case b < markerRST0 || b > markerRST7:
			return b, nil
		}
	}
}

func (w *jpegWalker) skipTo(delim byte) error {
	for {
		passed, err := w.r.ReadSlice(delim)
		w.passed += int64(len(passed))
		if err != bufio.ErrBufferFull {
			return noEOF(err)
		}
	}
}

// payload reads what remains of the current segment.
func (w *jpegWalker) payload() ([]byte, error) {
	b := make([]byte, w.unread)
	_, err := io.ReadFull(w.r, b)
	w.unread = 0
	return b, noEOF(err)
}

// noEOF makes an end of file what it always is inside a picture: too early.
func noEOF(err error) error {
	if err == io.EOF {
		return io.ErrUnexpectedEOF
	}
	return err
}
