package tiff_test

import (
	"fmt"
	"log"
	"os"
	"path/filepath"

	"sizewright/internal/tiff"
)

// A grey ramp of 4 x 3 in at 100 ppi, strip by strip.
func Example() {
	dir, err := os.MkdirTemp("", "tiff")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	file, err := os.Create(filepath.Join(dir, "ramp.tif"))
	if err != nil {
		log.Fatal(err)
	}
	defer file.Close()

	h := tiff.Header{
		Width: 400, Height: 300, Bits: 16, Photometric: tiff.Grey,
		RowsPerStrip: 64, Compression: tiff.Deflate, PPI: tiff.RationalPPI(100),
	}
	w, err := tiff.NewWriter(file, h)
	if err != nil {
		log.Fatal(err)
	}
	encoder := h.NewEncoder()
	var encoded []byte
	for i := range h.Strips() {
		samples := make([]uint16, h.StripRows(i)*h.Width)
		for at := range samples {
			samples[at] = uint16(at % h.Width * 65535 / (h.Width - 1))
		}
		if encoded, err = encoder.Strip16(encoded[:0], samples, h.StripRows(i)); err != nil {
			log.Fatal(err)
		}
		if err := w.WriteStrip(encoded); err != nil {
			log.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		log.Fatal(err)
	}
	fmt.Println("strips:", h.Strips(), "BigTIFF:", w.Big(), "shrunk:", w.Size() < 400*300*2)
	// Output: strips: 5 BigTIFF: false shrunk: true
}
