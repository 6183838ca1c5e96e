package photo

import (
	"errors"
	"fmt"
	"io"
)

// A JPEG carries its picture in one or more scans. The decoder is content with
// whatever scans it meets before the end marker, so a file in which some are
// missing would print flat or green. The scans are therefore counted first,
// which also tells a file without its end marker before any time is spent on it.

// scanned records, for each component of the frame, down to which bit each of
// its 64 coefficients has been sent: 0 is all of it, unsent nothing.
type scanned map[byte]*[64]int8

const unsent = 127

// checkScans walks the whole JPEG. It returns an error when the end marker or a
// whole component is missing, and finished false when a progressive JPEG lacks
// only its last passes.
func (f *jpegFrame) checkScans(src *io.SectionReader, lim Limits) (finished bool, err error) {
	sent := scanned{}
	for _, c := range f.components {
		bits := &[64]int8{}
		for i := range bits {
			bits[i] = unsent
		}
		sent[c.id] = bits
	}
	scans := 0
	for walk := walkJPEG(src, lim); ; {
		marker, err := walk.next()
		if err != nil {
			return false, err
		}
		if marker == markerEOI {
			return sent.finished()
		}
		if marker != markerSOS {
			continue
		}
		if scans++; scans > lim.MaxScans {
			return false, &Error{Kind: TooLarge, Fault: fmt.Sprintf("is a JPEG of more than %d passes, which no camera makes", lim.MaxScans),
				Remedy: "open it in an editor and export it again"}
		}
		header, err := walk.payload()
		if err != nil {
			return false, err
		}
		if err := sent.add(header, f.progressive()); err != nil {
			return false, err
		}
	}
}

// add notes what one scan sends: ITU-T T.81, B.2.3.
func (s scanned) add(header []byte, progressive bool) error {
	if len(header) < 1 || len(header) != 4+2*int(header[0]) {
		return errors.New("a scan header is inconsistent")
	}
	n := int(header[0])
	first, last, bit := 0, 63, 0
	if progressive {
		first, last, bit = int(header[1+2*n]), int(header[2+2*n]), int(header[3+2*n]&15)
	}
	if first > last || last > 63 {
		return errors.New("a scan header is inconsistent")
	}
	for i := range n {
		bits := s[header[1+2*i]]
		if bits == nil {
			return errors.New("a scan belongs to no component")
		}
		for k := first; k <= last; k++ {
			bits[k] = min(bits[k], int8(bit))
		}
	}
	return nil
}

func (s scanned) finished() (bool, error) {
	finished := true
	for _, bits := range s {
		if bits[0] == unsent {
			return false, damaged("is damaged: one of the JPEG's colour components is missing", nil)
		}
		for _, bit := range bits {
			finished = finished && bit == 0
		}
	}
	return finished, nil
}
