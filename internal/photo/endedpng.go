package photo

import (
	"errors"
	"io"
)

// iend is the whole last chunk of every PNG: no data, its name, its checksum.
const iend = "\x00\x00\x00\x00IEND\xaeB`\x82"

// endedPNG follows the chunks, by their lengths, to the last one.
func endedPNG(src *io.SectionReader, lim Limits) error {
	at := int64(pngHead)
	for range lim.MaxSegments {
		chunk, err := pngChunkAt(src, at)
		switch {
		case errors.Is(err, io.ErrUnexpectedEOF):
			return tooShort(src.Size(), at+int64(len(iend)))
		case err != nil:
			return err
		case !chunk.named():
			return strayedPNG(src, 0)
		case chunk.next > src.Size():
			return strayedPNG(src, chunk.next)
		case chunk.name == "IEND":
			return lastChunk(src, at)
		}
		at = chunk.next
	}
	return strayedPNG(src, 0)
}

// lastChunk checks that all of IEND is there. A copy may lack its last bytes.
func lastChunk(src *io.SectionReader, at int64) error {
	var chunk [len(iend)]byte
	if _, err := src.ReadAt(chunk[:], at); err != nil && err != io.EOF {
		return err
	}
	if string(chunk[:]) != iend {
		return strayedPNG(src, 0)
	}
	return withoutHole(src, at+int64(len(iend)))
}

// strayedPNG is for a file whose chunks cannot be followed to the last. about is the
// length that it should have, or 0. If it ends in IEND it is damaged, not unfinished.
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
