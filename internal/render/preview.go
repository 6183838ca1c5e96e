package render

import (
	"context"
	"image"

	"sizewright/internal/colour"
	"sizewright/internal/photo"
)

// Preview is the print made small, in sRGB: the same plan at another size, down
// the same road. maxSide is the longer side in pixels, at least 1.
func Preview(ctx context.Context, p *Plan, src *photo.Photo, maxSide int) (*image.RGBA, error) {
	small := p.shrunk(maxSide)
	r, err := New(small, src)
	if err != nil {
		return nil, err
	}
	toSRGB, err := r.forScreen()
	if err != nil {
		return nil, err
	}
	img := image.NewRGBA(image.Rect(0, 0, small.Print.Width, small.Print.Height))
	band := small.File.BandRows * img.Stride
	err = r.run(ctx, 1, func() finish { return screen(toSRGB, r.channels) }, func(i int, out []byte) error {
		copy(img.Pix[i*band:], out)
		return nil
	})
	return img, err
}

// shrunk is the plan for a raster of at most maxSide pixels a side.
func (p *Plan) shrunk(maxSide int) *Plan {
	s := *p
	k := min(1, float64(maxSide)/float64(max(p.Print.Width, p.Print.Height)))
	s.Print.Width = max(1, int(float64(p.Print.Width)*k+0.5))
	s.Print.Height = max(1, int(float64(p.Print.Height)*k+0.5))
	s.Print.PPI = p.Print.PPI * k
	s.scale()
	s.PreSharpening.Applied = false
	s.OutputSharpening.RadiusPX = outputLeastPX
	s.File.BandRows = 64
	return &s
}

func (r *Renderer) forScreen() (*colour.Grid, error) {
	if r.toRGB != nil {
		return nil, nil // CMYK was taken to sRGB on the way in
	}
	return meaningOf(&r.src.Info).profile.ToSRGB()
}

// screen writes a band as 8-bit RGBA.
func screen(toSRGB *colour.Grid, channels int) finish {
	var rgb [3][]float32
	return func(b *band, dst []byte) ([]byte, error) {
		out := make([][]float32, 3)
		for c := range out {
			rgb[c] = grow(rgb[c], b.print.width)
			out[c] = rgb[c]
		}
		for y := b.top; y < b.bottom; y++ {
			in := b.rows(&b.print, y, channels)
			if toSRGB == nil {
				out = in
			} else {
				toSRGB.Apply(out, in, b.print.width)
			}
			for x := range b.print.width {
				dst = append(dst, to8(out[0][x]), to8(out[1][x]), to8(out[2][x]), 255)
			}
		}
		return dst, nil
	}
}

func to8(v float32) byte { return byte(min(max(v, 0), 1)*255 + 0.5) }
