package demo

import (
	"image"
	"io"

	"sizewright/internal/tiff"
)

// writeTIFF writes a 16-bit picture as a TIFF with horizontal differences and deflate.
func writeTIFF(w io.WriteSeeker, img *image.RGBA64, s shot, profile []byte) error {
	h := tiff.Header{
		Width: img.Rect.Dx(), Height: img.Rect.Dy(), Bits: 16, Photometric: tiff.RGB,
		RowsPerStrip: 64, Compression: tiff.Deflate, PPI: tiff.RationalPPI(300), Profile: profile,
		Make: s.maker, Model: s.model, Artist: s.artist, Copyright: s.copyright, Description: s.title,
		DateTime: s.taken, DateTimeOriginal: s.taken,
	}
	out, err := tiff.NewWriter(w, h)
	if err != nil {
		return err
	}
	encoder := h.NewEncoder()
	var samples []uint16
	var strip []byte
	for i := range h.Strips() {
		samples = appendSamples(samples[:0], img, i*h.RowsPerStrip, h.StripRows(i))
		if strip, err = encoder.Strip16(strip[:0], samples, h.StripRows(i)); err != nil {
			return err
		}
		if err := out.WriteStrip(strip); err != nil {
			return err
		}
	}
	return out.Close()
}

// appendSamples adds rows of the picture, red, green, blue by turns.
func appendSamples(to []uint16, img *image.RGBA64, first, rows int) []uint16 {
	for y := first; y < first+rows; y++ {
		row := img.Pix[y*img.Stride : y*img.Stride+8*img.Rect.Dx()]
		for i := 0; i < len(row); i += 8 {
			to = append(to, be16(row[i:]), be16(row[i+2:]), be16(row[i+4:]))
		}
	}
	return to
}

func be16(b []byte) uint16 { return uint16(b[0])<<8 | uint16(b[1]) }
