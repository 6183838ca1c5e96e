package main

import (
	"fmt"

	"sizewright/internal/photo"
)

// raster is an RGB picture, planar, encoded values 0..1.
type raster struct {
	width, height int
	plane         [3][]float32
}

func newRaster(width, height int) *raster {
	r := &raster{width: width, height: height}
	for c := range r.plane {
		r.plane[c] = make([]float32, width*height)
	}
	return r
}

// open reads a picture with package photo; grey becomes RGB.
func open(path string) (*raster, error) {
	p, err := photo.Open(path, photo.DefaultLimits())
	if err != nil {
		return nil, err
	}
	if p.Model == photo.CMYK {
		return nil, fmt.Errorf("%s is CMYK: give RGB or grey photographs", path)
	}
	r := newRaster(p.Width, p.Height)
	for y := range p.Height {
		row := [][]float32{nil, nil, nil}
		for c := range row {
			row[c] = r.plane[c][y*r.width : (y+1)*r.width]
		}
		p.Row(y, row[:p.Channels()])
		if p.Model == photo.Grey {
			copy(row[1], row[0])
			copy(row[2], row[0])
		}
	}
	return r, nil
}

// crop returns the part of the given size around a centre, moved inside the picture.
func (r *raster) crop(cx, cy, width, height int) *raster {
	left := min(max(cx-width/2, 0), r.width-width)
	top := min(max(cy-height/2, 0), r.height-height)
	o := newRaster(width, height)
	for c := range o.plane {
		for y := range height {
			copy(o.plane[c][y*width:(y+1)*width], r.plane[c][(top+y)*r.width+left:])
		}
	}
	return o
}

// luma returns BT.601 luma of encoded values.
func (r *raster) luma() []float32 {
	y := make([]float32, len(r.plane[0]))
	for i := range y {
		y[i] = 0.299*r.plane[0][i] + 0.587*r.plane[1][i] + 0.114*r.plane[2][i]
	}
	return y
}
