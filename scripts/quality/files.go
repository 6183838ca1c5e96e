package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"os"
	"strings"
)

// writePNG writes 16 bits a channel, marked as sRGB.
func writePNG(path string, r *raster) error {
	img := image.NewNRGBA64(image.Rect(0, 0, r.width, r.height))
	for i := range r.plane[0] {
		img.SetNRGBA64(i%r.width, i/r.width, color.NRGBA64{
			R: sixteen(r.plane[0][i]), G: sixteen(r.plane[1][i]), B: sixteen(r.plane[2][i]), A: 65535})
	}
	var buf bytes.Buffer
	if err := png.Encode(&buf, img); err != nil {
		return err
	}
	const header = 8 + 4 + 4 + 13 + 4 // signature and IHDR, which come first
	chunk := append([]byte{0, 0, 0, 1}, "sRGB\x00"...)
	chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
	data := buf.Bytes()
	return os.WriteFile(path, bytes.Join([][]byte{data[:header], chunk, data[header:]}, nil), 0o644)
}

// readPPM reads binary PPM of 16 bits (Netpbm's ppm(5)), which all the programs write
// without loss and without compressing.
func readPPM(path string) (*raster, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	words, body := ppmHeader(data)
	var width, height int
	if _, err := fmt.Sscanf(strings.Join(words, " "), "P6 %d %d 65535", &width, &height); err != nil || len(body) < 6*width*height {
		return nil, fmt.Errorf("%s is not a binary PPM of 16 bits", path)
	}
	r := newRaster(width, height)
	for i := range width * height {
		for c := range r.plane {
			r.plane[c][i] = float32(binary.BigEndian.Uint16(body[6*i+2*c:])) / 65535
		}
	}
	return r, nil
}

// ppmHeader returns the header's four words, without comments, and the data after the
// single white space that follows them.
func ppmHeader(data []byte) (words []string, body []byte) {
	for len(words) < 4 {
		data = bytes.TrimLeft(data, " \t\r\n")
		end := bytes.IndexAny(data, " \t\r\n")
		if end < 0 {
			return nil, nil
		}
		if data[0] == '#' {
			_, data, _ = bytes.Cut(data, []byte("\n"))
			continue
		}
		words, data = append(words, string(data[:end])), data[end:]
	}
	return words, data[1:]
}
