package photo

import (
	"errors"
	"fmt"
	"image"
	"image/color"

	"sizewright/internal/plural"
)

// adopt takes over the pixels of a decoded image, without a copy where their layout
// allows. Transparency is laid over white.
func (p *Photo) adopt(img image.Image) (err error) {
	if w, h := p.storedSize(); img.Bounds() != image.Rect(0, 0, w, h) {
		return errors.New("its size changes half way")
	}
	switch m := img.(type) {
	case *image.Gray:
		p.planes = lanes(m.Pix, m.Stride, m.Rect, 1, false)
	case *image.Gray16:
		p.planes = lanes(m.Pix, m.Stride, m.Rect, 1, true)
	case *image.RGBA: // from the decoders used here always opaque
		p.planes = lanes(m.Pix, m.Stride, m.Rect, 4, false)[:3]
	case *image.RGBA64:
		p.planes = lanes(m.Pix, m.Stride, m.Rect, 4, true)[:3]
	case *image.CMYK:
		p.planes = lanes(m.Pix, m.Stride, m.Rect, 4, false)
	case *image.NRGBA:
		err = p.adoptAlpha(lanes(m.Pix, m.Stride, m.Rect, 4, false))
	case *image.NRGBA64:
		err = p.adoptAlpha(lanes(m.Pix, m.Stride, m.Rect, 4, true))
	case *image.Paletted:
		err = p.adoptAlpha(expand(m))
	case *image.YCbCr:
		p.adoptYCbCr(m)
	default:
		return fmt.Errorf("unexpected pixel layout %T", img)
	}
	if err == nil && len(p.planes) != p.Channels() {
		return fmt.Errorf("%s where the header says %s", plural.Count(len(p.planes), "channel", "channels"), p.Model)
	}
	return err
}

// lanes are interleaved pixels as n planes in shared memory.
func lanes(pix []byte, stride int, r image.Rectangle, n int, wide bool) []plane {
	size := sampleBytes(wide)
	planes := make([]plane, n)
	for c := range planes {
		planes[c] = plane{fine(r.Dx(), r.Dy()), pix[c*size:], stride, n * size, wide}
	}
	return planes
}

// adoptAlpha adopts red, green, blue and alpha. The decoder gives grey with alpha as four
// channels too; then one grey channel is kept.
func (p *Photo) adoptAlpha(rgba []plane) error {
	colours, alpha := rgba[:3], &rgba[3]
	if p.Model == Grey {
		colours = []plane{rgba[0].compact()}
	}
	p.planes = colours
	return p.layOverWhite(colours, alpha, false)
}

// expand looks up every pixel of a palette picture.
func expand(m *image.Paletted) []plane {
	var table [256]color.NRGBA
	for i, c := range m.Palette {
		table[i] = color.NRGBAModel.Convert(c).(color.NRGBA)
	}
	w, h := m.Rect.Dx(), m.Rect.Dy()
	planes := make([]plane, 4)
	for c := range planes {
		planes[c] = newPlane(w, h, false)
	}
	for y := range h {
		for x, index := range m.Pix[y*m.Stride:][:w] {
			i, c := y*w+x, table[index]
			planes[0].pix[i], planes[1].pix[i], planes[2].pix[i], planes[3].pix[i] = c.R, c.G, c.B, c.A
		}
	}
	return planes
}

// adoptYCbCr keeps luma and chroma apart and chroma as coarse as it is.
func (p *Photo) adoptYCbCr(m *image.YCbCr) {
	subX, subY := subsampling(m.SubsampleRatio)
	w, h := m.Rect.Dx(), m.Rect.Dy()
	chroma := Grid{Width: ceilDiv(w, subX), Height: ceilDiv(h, subY), SubX: subX, SubY: subY}
	p.planes = []plane{
		{Grid: fine(w, h), pix: m.Y, stride: m.YStride, step: 1},
		{Grid: chroma, pix: m.Cb, stride: m.CStride, step: 1},
		{Grid: chroma, pix: m.Cr, stride: m.CStride, step: 1},
	}
	p.ycc = true
}

func subsampling(r image.YCbCrSubsampleRatio) (x, y int) {
	switch r {
	case image.YCbCrSubsampleRatio422:
		return 2, 1
	case image.YCbCrSubsampleRatio420:
		return 2, 2
	case image.YCbCrSubsampleRatio440:
		return 1, 2
	case image.YCbCrSubsampleRatio411:
		return 4, 1
	case image.YCbCrSubsampleRatio410:
		return 4, 2
	}
	return 1, 1
}
