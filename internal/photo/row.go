package photo

import (
	"encoding/binary"
	"runtime"

	"sizewright/internal/vector"
)

// Photo is a decoded picture, standing upright. It never changes after [Open],
// so any number of goroutines may read it.
type Photo struct {
	Info
	planes []plane
	ycc    bool    // planes are luma and two chroma
	video  bool    // they are of video range: clampVideo
	mapped *mapped // the memory of the planes, nil if it is Go's own
	room   *Room   // where they are put while they are decoded, nil for memory
}

// Close frees the picture's memory at once, without waiting for the garbage collector.
// Nothing may read the picture during or after it. It may be called again.
func (p *Photo) Close() {
	p.planes = nil
	if p.mapped != nil {
		p.mapped.release()
	}
}

// Channels returns the number of channels of a row: 1 grey, 3 RGB, 4 CMYK.
func (p *Photo) Channels() int { return p.Model.Channels() }

// Row writes row y of the picture, 0 at the top, into dst: one slice for each
// channel, each of at least Width values. Values run from 0 to 1 and are
// encoded, not linear: grey and RGB with 1 as white, CMYK with 1 as full ink.
// It is safe for concurrent use and allocates nothing.
func (p *Photo) Row(y int, dst [][]float32) {
	defer runtime.KeepAlive(p) // see mapped
	if p.ycc {
		p.rowYCC(y, dst)
		vector.ToRGB(dst[0][:p.Width], dst[1][:p.Width], dst[2][:p.Width])
		return
	}
	for c := range p.planes {
		p.turnPage(&p.planes[c], y)
		p.planes[c].row(y, dst[c][:p.Width])
	}
}

// unit8 holds v/255, correctly rounded.
var unit8 = func() (t [256]float32) {
	for v := range t {
		t[v] = float32(float64(v) / 255)
	}
	return t
}()

// row reads one row of a plane that is as fine as the picture.
func (pl *plane) row(y int, dst []float32) {
	if len(dst) == 0 {
		return
	}
	src := pl.pix[y*pl.stride:][:(len(dst)-1)*pl.step+sampleBytes(pl.wide)]
	switch {
	case pl.wide:
		rowWide(src, pl.step, dst)
	case pl.step == 1:
		for x, v := range src {
			dst[x] = unit8[v]
		}
	default:
		for x, i := 0, 0; x < len(dst); x, i = x+1, i+pl.step {
			dst[x] = unit8[src[i]]
		}
	}
}

func rowWide(src []byte, step int, dst []float32) {
	for x := range dst {
		dst[x] = float32(binary.BigEndian.Uint16(src)) / 65535
		if x < len(dst)-1 {
			src = src[step:]
		}
	}
}
