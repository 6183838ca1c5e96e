package photo

import (
	"hash/fnv"
	"runtime"

	"sizewright/internal/vector"
)

// Grid is where the samples of a plane lie in the picture: sample (i, j) at
//
//	x = OffX + (i+0.5) SubX - 0.5,  y = OffY + (j+0.5) SubY - 0.5
//
// in pixels of the picture, which is JFIF's centred siting (ITU-T T.871, 6.2).
type Grid struct {
	Width, Height int // samples
	SubX, SubY    int // pixels a sample, 1 to 4
	OffX, OffY    int // 0, or negative for a picture that was turned round
}

// YCC returns the grids of an RGB picture's luma Y = 0.299 R + 0.587 G + 0.114 B
// (ITU-R BT.601) and of the differences R-Y and B-Y, and true where
// the file stores it so, and its planes may be read one by one.
func (p *Photo) YCC() (grids [3]Grid, apart bool) {
	for c := range grids {
		grids[c] = Grid{Width: p.Width, Height: p.Height, SubX: 1, SubY: 1}
		if p.ycc {
			pl := &p.planes[yccPlane[c]]
			grids[c] = Grid{pl.w, pl.h, pl.subX, pl.subY, pl.offX, pl.offY}
		}
	}
	return grids, p.ycc
}

// A JPEG's planes are luma, Cb and Cr; ours are luma, R-Y (which Cr stands for)
// and B-Y. Of the differences, fullDifference is what chroma of one is worth (ITU-T
// T.871, section 7).
var (
	yccPlane       = [3]int{0, 2, 1}
	fullDifference = [3]float32{1, 1.402, 1.772}
)

// YCCRow writes row y of one plane's own grid: luma (0), from 0 to 1, or R-Y (1) or
// B-Y (2), from -1 to 1. It is for pictures of which [Photo.YCC] says apart.
func (p *Photo) YCCRow(plane, y int, dst []float32) {
	defer runtime.KeepAlive(p) // see mapped
	pl, full := &p.planes[yccPlane[plane]], fullDifference[plane]
	offset := float32(0)
	if plane > 0 {
		offset = -128 * full / 255
	}
	vector.Bytes(dst[:pl.w], pl.pix[y*pl.stride:][:pl.w], full/255, offset)
}

// rowYCC is Row as luma and the differences from it, of a picture that is stored
// so. What a JPEG says of colours beyond any display is kept.
func (p *Photo) rowYCC(y int, dst [][]float32) {
	for c := range dst[:3] {
		pl := &p.planes[yccPlane[c]]
		if pl.subX == 1 && pl.subY == 1 {
			p.YCCRow(c, y, dst[c])
			continue
		}
		row := dst[c][:p.Width]
		pl.chroma(y, row)
		for x, v := range row {
			row[x] = float32(v * (fullDifference[c] / 255))
		}
	}
}

// Fingerprint is a number made of the picture's pixels, the same for the same
// picture each time.
func (p *Photo) Fingerprint() uint32 {
	defer runtime.KeepAlive(p) // see mapped
	h := fnv.New32a()
	for c := range p.planes {
		pl := &p.planes[c]
		for y := 0; y < pl.h; y += max(1, pl.h/64) {
			row := pl.pix[y*pl.stride:][:(pl.w-1)*pl.step+sampleBytes(pl.wide)]
			h.Write(row)
		}
	}
	return h.Sum32()
}
