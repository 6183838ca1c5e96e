package photo

import (
	"encoding/binary"
	"io"
)

// iend is the whole last chunk of every PNG: no data, its name, its checksum.
const iend = "\x00\x00\x00\x00IEND\xaeB`\x82"

// endedPNG walks from chunk to chunk to the last one, by their lengths.
func endedPNG(r io.ReaderAt, src *io.SectionReader, lim Limits) error {
	at := int64(pngHead)
	for range lim.MaxSegments {
		var head [8]byte
		if _, err := src.ReadAt(head[:], at); err == io.EOF {
			return tooShort(src.Size(), at+int64(len(iend)))
		} else if err != nil {
			return err
		}
		next := at + 8 + int64(binary.BigEndian.Uint32(head[:])) + 4
		switch name := string(head[4:]); {
		case !chunkName(name):
			return strayedPNG(src, 0)
		case next > src.Size():
			return strayedPNG(src, next)
		case name == "IEND":
			return lastChunk(r, src, at)
		}
		at = next
	}
	return strayedPNG(src, 0)
}

// lastChunk wants all of IEND, of which a copy may lack the last bytes too.
func lastChunk(r io.ReaderAt, src *io.SectionReader, at int64) error {
	var chunk [len(iend)]byte
	if _, err := src.ReadAt(chunk[:], at); err != nil && err != io.EOF {
		return err
	}
	if string(chunk[:]) != iend {
		return strayedPNG(src, 0)
	}
	return withoutHole(r, src, at+int64(len(iend)))
}

// strayedPNG judges a file in which chunks cannot be followed to the last, of
// perhaps about so many bytes. An end that stands at its end is that of a
// damaged picture.
func strayedPNG(src *io.SectionReader, about int64) error {
	_, is, err := endsIn(src, iend)
	switch {
	case err != nil || is:
		return err
	case about > 0:
		return tooShort(src.Size(), about)
	}
	return noEnd(src)
}

// chunkName tells whether four bytes are letters: PNG, 5.3.
func chunkName(name string) bool {
	for _, c := range []byte(name) {
		if c |= 'a' - 'A'; c < 'a' || c > 'z' {
			return false
		}
	}
	return true
}
