package photo

import (
	"bufio"
	"encoding/binary"
	"errors"
	"io"
	"slices"
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
	markerAPP13 = 0xed // IPTC
	markerAPP14 = 0xee // Adobe
)

// isFrame reports whether a marker starts a frame of any of the JPEG processes.
func isFrame(marker byte) bool {
	return marker >= markerSOF0 && marker <= 0xcf &&
		marker != markerDHT && marker != markerJPG && marker != markerDAC
}

// jpegWalker reads a JPEG segment by segment. The header, the scans and the end check
// all use it. It skips the coded data of a scan, which holds no markers except restart
// markers.
type jpegWalker struct {
	src     *io.SectionReader // what r reads
	r       *bufio.Reader
	payload []byte // of the current segment
	visited int
	max     int
	passed  int64 // bytes skipped in search of markers
}

func walkJPEG(src *io.SectionReader, lim Limits) *jpegWalker {
	whole := io.NewSectionReader(src, 0, src.Size())
	return &jpegWalker{src: whole, r: bufio.NewReaderSize(whole, 64<<10), max: lim.MaxSegments}
}

// next reads the next segment. SOI and EOI have no payload. The payload is valid until
// the next call.
func (w *jpegWalker) next() (marker byte, payload []byte, err error) {
	if w.visited++; w.visited > w.max {
		return 0, nil, errors.New("too many segments")
	}
	if marker, err = w.marker(); err != nil || marker == markerSOI || marker == markerEOI {
		return marker, nil, err
	}
	var length [2]byte
	if _, err := io.ReadFull(w.r, length[:]); err != nil {
		return 0, nil, noEOF(err)
	}
	n := int(binary.BigEndian.Uint16(length[:])) - len(length)
	if n < 0 {
		return 0, nil, errors.New("a segment has no room for its own length")
	}
	w.payload = slices.Grow(w.payload[:0], n)[:n]
	_, err = io.ReadFull(w.r, w.payload)
	return marker, w.payload, noEOF(err)
}

// at is where the current segment ends.
func (w *jpegWalker) at() int64 {
	read, _ := w.src.Seek(0, io.SeekCurrent) // cannot fail
	return read - int64(w.r.Buffered())
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

// noEOF turns io.EOF into io.ErrUnexpectedEOF: a file that ends inside a picture ends
// too early.
func noEOF(err error) error {
	if err == io.EOF {
		return io.ErrUnexpectedEOF
	}
	return err
}
