package photo

import (
	"bytes"
	"errors"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"testing"

	xtiff "golang.org/x/image/tiff"
)

// FuzzDecode holds the package to its promise on any bytes: a picture whose
// every value lies within 0 to 1, or an error of a known kind. It goes in below
// the guard, so that a panic is a failure.
func FuzzDecode(f *testing.F) {
	img := marsh16(20, 13)
	var j, p, z, l bytes.Buffer
	for _, err := range []error{
		jpeg.Encode(&j, img, nil),
		png.Encode(&p, img),
		xtiff.Encode(&z, img, &xtiff.Options{Compression: xtiff.Deflate, Predictor: true}),
		xtiff.Encode(&l, image.NewGray16(image.Rect(0, 0, 9, 7)), nil),
	} {
		if err != nil {
			f.Fatal(err)
		}
	}
	exif := tiffBlock(0, makeReed, orientation6, "\x69\x87\x04\x00\x01\x00\x00\x00\x08\x00\x00\x00")
	for _, b := range [][]byte{j.Bytes(), withEXIF(j.Bytes(), exif), p.Bytes(), z.Bytes(), l.Bytes(), []byte(hugeJPEG), []byte(hugePNG)} {
		f.Add(b)
	}
	lim := DefaultLimits()
	lim.MaxPixels, lim.MaxDecodeBytes, lim.MaxProfileBytes, lim.MaxScans = 1<<16, 1<<22, 1<<16, 8
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := decode(io.NewSectionReader(bytes.NewReader(b), 0, int64(len(b))), "fuzz.jpg", lim)
		if err != nil {
			var e *Error
			if !errors.As(err, &e) || e.Fault == "" || e.Remedy == "" {
				t.Fatalf("not worded: %v", err)
			}
			return
		}
		for _, v := range pixels(p) {
			if !(v >= 0 && v <= 1) {
				t.Fatalf("value %g in a %s %s", v, p.Format, p.Model)
			}
		}
	})
}
