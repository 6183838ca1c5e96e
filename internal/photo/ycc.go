package photo

import (
	"hash/fnv"
	"runtime"

	"sizewright/internal/vector"
)

// YCC returns the grids of an RGB picture's luma Y = 0.299 R + 0.587 G + 0.114 B
// (ITU-R BT.601) and of the differences R-Y and B-Y. apart is true if the file stores
// them, so that [Photo.YCCRow] can read them one by one.
func (p *Photo) YCC() (grids [3]Grid, apart bool) {
	for c := range grids {
		grids[c] = fine(p.Width, p.Height)
		if p.ycc {
			grids[c] = p.planes[yccPlane[c]].Grid
		}
	}
	return grids, p.ycc
}

// A JPEG's planes are luma, Cb and Cr. Here they are luma, R-Y (from Cr) and B-Y (from
// Cb). fullDifference is the difference that chroma of 1 means (ITU-T T.871, section 7).
var (
	yccPlane       = [3]int{0, 2, 1}
	fullDifference = [3]float32{1, 1.402, 1.772}
)

// YCCRow writes row y of one plane's own grid: luma (0), from 0 to 1, or R-Y (1) or
// B-Y (2), from -1 to 1. It is for pictures of which [Photo.YCC] says apart.
func (p *Photo) YCCRow(plane, y int, dst []float32) {
	defer runtime.KeepAlive(p) // see mapped
	pl, full := &p.planes[yccPlane[plane]], fullDifference[plane]
	p.turnPage(pl, y)
	black, steps := float32(0), float32(255)
	if plane > 0 {
		black = 128
	}
	if p.video {
		black, steps = max(black, videoBlack), videoSteps[plane]
	}
	vector.Bytes(dst[:pl.Width], pl.pix[y*pl.stride:][:pl.Width], full/steps, -black*full/steps)
}

// Video range (ITU-R BT.601): luma is 219 steps from 16, chroma 224 steps around 128.
const (
	videoBlack  = 16
	videoLuma   = 219
	videoChroma = 224
)

var videoSteps = [3]float32{videoLuma, videoChroma, videoChroma}

// rowYCC writes a row as luma and the differences from it. Colours beyond every display,
// which a JPEG can hold, are kept.
func (p *Photo) rowYCC(y int, dst [][]float32) {
	for c := range dst[:3] {
		pl := &p.planes[yccPlane[c]]
		if pl.SubX == 1 && pl.SubY == 1 {
			p.YCCRow(c, y, dst[c])
			continue
		}
		row := dst[c][:p.Width]
		pl.chroma(y, row)
		steps := float32(255)
		if p.video {
			steps = videoSteps[c]
		}
		for x, v := range row {
			row[x] = float32(v * (fullDifference[c] / steps))
		}
	}
}

// Fingerprint is a number made from the picture's pixels. It is always the same for the
// same picture.
func (p *Photo) Fingerprint() uint32 {
	defer runtime.KeepAlive(p) // see mapped
	h := fnv.New32a()
	for c := range p.planes {
		pl := &p.planes[c]
		for y := 0; y < pl.Height; y += max(1, pl.Height/64) {
			row := pl.pix[y*pl.stride:][:(pl.Width-1)*pl.step+sampleBytes(pl.wide)]
			h.Write(row)
		}
	}
	return h.Sum32()
}
