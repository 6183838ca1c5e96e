package detail

import "sizewright/internal/photo"

// lumaReader reads rows of luma. It holds scratch: one for each goroutine.
type lumaReader struct {
	src   *photo.Photo
	apart bool // a JPEG's luma, read without its chroma
	row   [][]float32
}

func newLumaReader(src *photo.Photo) *lumaReader {
	r := &lumaReader{src: src}
	grids, apart := src.YCC()
	r.apart = apart && grids[0] == photo.Grid{Width: src.Width, Height: src.Height, SubX: 1, SubY: 1}
	if !r.apart {
		r.row = make([][]float32, src.Channels())
		for c := range r.row {
			r.row[c] = make([]float32, src.Width)
		}
	}
	return r
}

// read writes row y, of the picture's width.
func (r *lumaReader) read(y int, dst []float32) {
	if r.apart {
		r.src.YCCRow(0, y, dst)
		return
	}
	r.src.Row(y, r.row)
	luma(dst[:r.src.Width], r.row)
}
