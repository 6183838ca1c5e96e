package photo

import "encoding/binary"

// Photo is a decoded picture, standing upright. It never changes after [Open],
// so any number of goroutines may read it.
type Photo struct {
	Info
	planes []plane
	ycc    bool // planes are luma and two chroma
}

// Channels returns the number of channels of a row: 1 grey, 3 RGB, 4 CMYK.
func (p *Photo) Channels() int { return p.Model.Channels() }

// Row writes row y of the picture, 0 at the top, into dst: one slice for each
// channel, each of at least Width values. Values run from 0 to 1 and are
// encoded, not linear: grey and RGB with 1 as white, CMYK with 1 as full ink.
// It is safe for concurrent use and allocates nothing.
func (p *Photo) Row(y int, dst [][]float32) {
	if p.ycc {
		p.rowYCC(y, dst)
		return
	}
	for c := range p.planes {
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

// rowYCC turns luma and chroma into RGB by ITU-T T.871 (JFIF), section 7. The
// chroma of the row, brought up to the picture's width, is first written where
// green and blue will be.
func (p *Photo) rowYCC(y int, dst [][]float32) {
	luma := &p.planes[0]
	w := p.Width
	red, cb, cr := dst[0][:w], dst[1][:w], dst[2][:w]
	p.planes[1].chroma(y, cb)
	p.planes[2].chroma(y, cr)
	toRGB(luma.pix[y*luma.stride:][:w], red, cb, cr)
}

// toRGB converts a row. On entry b2 holds Cb and b3 Cr, each from -128 to 127;
// on return r, b2 and b3 hold red, green and blue from 0 to 1.
func toRGB(luma []byte, r, b2, b3 []float32) {
	const unit = 1.0 / 255
	r, b2, b3 = r[:len(luma)], b2[:len(luma)], b3[:len(luma)]
	for x, v := range luma {
		l, cb, cr := unit8[v], b2[x], b3[x]
		r[x] = clamp(l + 1.402*unit*cr)
		b2[x] = clamp(l - (0.114*1.772/0.587)*unit*cb - (0.299*1.402/0.587)*unit*cr)
		b3[x] = clamp(l + 1.772*unit*cb)
	}
}

// clamp keeps chroma that no display could show within 0 to 1.
func clamp(v float32) float32 {
	if v < 0 {
		return 0
	}
	if v > 1 {
		return 1
	}
	return v
}
