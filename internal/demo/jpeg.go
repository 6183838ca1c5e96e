package demo

import (
	"encoding/binary"
	"image"
	"image/jpeg"
	"io"
)

// writeJPEG writes a JPEG of the given quality as a camera does: the start marker, EXIF in APP1, the profile
// in APP2, then the picture. An empty profile is left out.
func writeJPEG(w io.Writer, img image.Image, quality int, exif, profile []byte) error {
	head := []byte{0xFF, 0xD8}
	head = appendSegment(head, 0xE1, append([]byte("Exif\x00\x00"), exif...))
	if _, err := w.Write(appendProfile(head, profile)); err != nil {
		return err
	}
	return jpeg.Encode(&dropFirst{w, 2}, img, &jpeg.Options{Quality: quality})
}

// appendSegment adds a marker segment; its length counts itself but not the marker (ITU-T T.81, B.1.1.4).
func appendSegment(out []byte, marker byte, body []byte) []byte {
	out = append(out, 0xFF, marker)
	out = binary.BigEndian.AppendUint16(out, uint16(len(body)+2))
	return append(out, body...)
}

// profileShare is the most of a profile one segment carries: 65,535 less its length and 14 bytes of heading.
const profileShare = 65535 - 2 - 14

// appendProfile cuts a profile into APP2 segments, numbered from 1 (ICC.1:2022, annex B.4).
func appendProfile(out, profile []byte) []byte {
	total := (len(profile) + profileShare - 1) / profileShare
	for i := range total {
		share := profile[i*profileShare : min((i+1)*profileShare, len(profile))]
		heading := append([]byte("ICC_PROFILE\x00"), byte(i+1), byte(total))
		out = appendSegment(out, 0xE2, append(heading, share...))
	}
	return out
}

// dropFirst passes on all but the first n bytes: the encoder's own start marker.
type dropFirst struct {
	io.Writer
	n int
}

func (d *dropFirst) Write(p []byte) (int, error) {
	k := min(d.n, len(p))
	d.n -= k
	n, err := d.Writer.Write(p[k:])
	return n + k, err
}
