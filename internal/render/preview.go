package render

import (
	"context"
	"image"

	"sizewright/internal/colour"
	"sizewright/internal/photo"
)

// Proof is how a preview shows the paper.
type Proof int

const (
	// OnWhite shows the print's colours with the paper's white and black as
	// the screen's: media-relative, black point compensated.
	OnWhite Proof = iota
	// OnPaper shows the paper's own white and black as well: ICC-absolute.
	OnPaper
)

// Preview is the print made small, in sRGB, once for each proof: the same plan at
// another size, down the same road and then back from the print's profile, so
// that what the paper cannot hold is lost in it too. maxSide is the longer side
// in pixels, at least 1.
func Preview(ctx context.Context, p *Plan, src *photo.Photo, o Order, maxSide int, proofs ...Proof) ([]*image.RGBA, error) {
	small := p.shrunk(maxSide)
	r, err := New(small, src, o)
	if err != nil {
		return nil, err
	}
	images, screens := make([]*image.RGBA, len(proofs)), make([]*colour.Transform, len(proofs))
	for i, proof := range proofs {
		images[i] = image.NewRGBA(image.Rect(0, 0, small.Print.Width, small.Print.Height))
		if screens[i], err = r.toScreen(proof); err != nil {
			return nil, err
		}
	}
	band := small.File.BandRows * images[0].Stride
	err = r.run(ctx, 1, func() finish { return r.screen(screens) }, func(i int, out []byte) error {
		each := len(out) / len(images)
		for k, img := range images {
			copy(img.Pix[i*band:], out[k*each:(k+1)*each])
		}
		return nil
	})
	return images, err
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

func (r *Renderer) toScreen(proof Proof) (*colour.Transform, error) {
	c := colour.Chain{From: outputProfile(&r.src.Info, r.order.Output), To: srgb(), Intent: colour.Relative, BlackPoint: true}
	if proof == OnPaper {
		c.Intent, c.BlackPoint = colour.Absolute, false
	}
	return c.Bake()
}

// screen writes a band as 8-bit RGBA, whole for one screen after the other.
func (r *Renderer) screen(screens []*colour.Transform) finish {
	var rgb [3][]float32
	return func(b *band, dst []byte) ([]byte, error) {
		from := r.finished(b)
		out := make([][]float32, 3)
		for c := range out {
			rgb[c] = grow(rgb[c], from.width)
			out[c] = rgb[c]
		}
		for _, screen := range screens {
			for y := b.top; y < b.bottom; y++ {
				screen.Apply(out, b.rows(from, y, r.inks), from.width)
				for x := range from.width {
					dst = append(dst, to8(out[0][x]), to8(out[1][x]), to8(out[2][x]), 255)
				}
			}
		}
		return dst, nil
	}
}

func to8(v float32) byte { return byte(min(max(v, 0), 1)*255 + 0.5) }
