// Command benchpicture writes the demo's 26-megapixel photograph to a file, for
// scripts/bench.sh; or, for scripts/large.sh, a 16-bit TIFF of any size, which is that
// photograph side by side with its mirror images, with noise.
package main

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"strconv"

	"sizewright/internal/demo"
	"sizewright/internal/photo"
	"sizewright/internal/tiff"
)

func main() {
	var err error
	switch {
	case len(os.Args) == 2:
		err = photograph(os.Args[1])
	case len(os.Args) == 4:
		width, _ := strconv.Atoi(os.Args[2])
		height, _ := strconv.Atoi(os.Args[3])
		err = wall(os.Args[1], width, height)
	default:
		err = fmt.Errorf("usage: benchpicture OUT.jpg | OUT.tif WIDTH HEIGHT")
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func photograph(path string) error {
	for _, p := range demo.Pictures() {
		if p.Folder == "24x36in" {
			return p.Write(context.Background(), path)
		}
	}
	return fmt.Errorf("the demo has no such picture")
}

func wall(path string, width, height int) error {
	small := path + ".jpg"
	defer os.Remove(small)
	if err := photograph(small); err != nil {
		return err
	}
	src, err := photo.Open(small, photo.DefaultLimits())
	if err != nil {
		return err
	}
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	const rows = 16
	h := tiff.Header{Width: width, Height: height, Bits: 16, Photometric: tiff.RGB, RowsPerStrip: rows,
		Compression: tiff.None, PPI: tiff.Rational{Num: 360, Den: 1}}
	w, err := tiff.NewWriter(f, h)
	if err != nil {
		return err
	}
	row := [][]float32{make([]float32, src.Width), make([]float32, src.Width), make([]float32, src.Width)}
	strip := make([]uint16, 3*width*rows)
	seed, enc := uint32(1), h.NewEncoder()
	for y := 0; y < height; y += rows {
		n := min(rows, height-y)
		for k := range n {
			src.Row(mirrored(y+k, src.Height), row)
			for x := range width {
				from := mirrored(x, src.Width)
				for c := range 3 {
					seed = seed*1664525 + 1013904223
					noise := float32(seed>>16)/65536 - 0.5
					strip[3*(k*width+x)+c] = uint16(min(max(row[c][from]+noise/64, 0), 1) * 65535)
				}
			}
		}
		coded, err := enc.Strip16(nil, strip[:3*width*n], n)
		if err == nil {
			err = w.WriteStrip(coded)
		}
		if err != nil {
			return err
		}
	}
	return cmp.Or(w.Close(), f.Close())
}

// mirrored is where place i lies in a side of n that goes to and fro.
func mirrored(i, n int) int {
	if i %= 2 * n; i >= n {
		return 2*n - 1 - i
	}
	return i
}
