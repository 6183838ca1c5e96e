package demo

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/png"
	"io"
)

// headerEnd is where a PNG's header chunk ends: 8 bytes of signature, then IHDR's length, name, 13 bytes and
// check sum.
const headerEnd = 8 + 4 + 4 + 13 + 4

// writePNG writes a PNG with the profile and EXIF between its header and its pixels, where PNG (third edition,
// section 5.6) wants them.
func writePNG(w io.Writer, img image.Image, exif, profile []byte) error {
	extra, err := pngExtra(exif, profile)
	if err != nil {
		return err
	}
	// The pixels' noise cannot be shrunk; trying harder only takes longer.
	encoder := png.Encoder{CompressionLevel: png.BestSpeed}
	return encoder.Encode(&insertAt{w, headerEnd, extra}, img)
}

func pngExtra(exif, profile []byte) ([]byte, error) {
	packed := bytes.NewBufferString("ICC profile\x00\x00") // its name, and method 0: zlib
	z := zlib.NewWriter(packed)
	if _, err := z.Write(profile); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	density := binary.BigEndian.AppendUint32(nil, 11811) // pixels a metre: 300 ppi
	density = append(binary.BigEndian.AppendUint32(density, 11811), 1)
	out := appendChunk(nil, "iCCP", packed.Bytes())
	out = appendChunk(out, "pHYs", density)
	return appendChunk(out, "eXIf", exif), nil
}

func appendChunk(out []byte, name string, body []byte) []byte {
	out = binary.BigEndian.AppendUint32(out, uint32(len(body)))
	named := append([]byte(name), body...)
	out = append(out, named...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(named))
}

// insertAt writes extra once, after the first n bytes.
type insertAt struct {
	io.Writer
	n     int
	extra []byte
}

func (i *insertAt) Write(p []byte) (int, error) {
	k := min(i.n, len(p))
	if _, err := i.Writer.Write(p[:k]); err != nil {
		return 0, err
	}
	if i.n -= k; i.n == 0 && i.extra != nil {
		if _, err := i.Writer.Write(i.extra); err != nil {
			return k, err
		}
		i.extra = nil
	}
	n, err := i.Writer.Write(p[k:])
	return k + n, err
}
