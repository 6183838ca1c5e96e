package photo

import (
	"hash/fnv"

	"sizewright/internal/vector"
)

// RowYCC is Row for an RGB picture as luma and the differences from it, in which
// JPEGs are stored: dst[0] is Y = 0.299 R + 0.587 G + 0.114 B (ITU-R BT.601), from 0
// to 1, dst[1] is R-Y and dst[2] is B-Y, from -1 to 1. What a JPEG says of colours
// beyond any display is kept.
func (p *Photo) RowYCC(y int, dst [][]float32) {
	w := p.Width
	luma, red, blue := dst[0][:w], dst[1][:w], dst[2][:w]
	if !p.ycc {
		p.Row(y, dst)
		vector.ToYCC(luma, red, blue)
		return
	}
	p.planes[0].row(y, luma)
	p.planes[2].difference(y, red, 1.402)
	p.planes[1].difference(y, blue, 1.772)
}

// difference writes row y of a chroma plane as a difference from luma; full is
// what chroma of one is worth (ITU-T T.871, section 7).
func (pl *plane) difference(y int, dst []float32, full float32) {
	if pl.subX == 1 && pl.subY == 1 {
		vector.Bytes(dst, pl.pix[y*pl.stride:][:len(dst)], full/255, -128*full/255)
		return
	}
	pl.chroma(y, dst)
	for x, v := range dst {
		dst[x] = v * (full / 255)
	}
}

// Fingerprint is a number made of the picture's pixels, the same for the same
// picture each time.
func (p *Photo) Fingerprint() uint32 {
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
