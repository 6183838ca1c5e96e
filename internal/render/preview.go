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
func Preview(ctx context.Context, p *Plan, src *photo.Photo, o Order, workers, maxSide int, proofs ...Proof) ([]*image.RGBA, error) {
	small := p.shrunk(o, maxSide)
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
	err = r.run(ctx, workers, func() finish { return &onScreen{r: r, screens: screens} }, func(i int, out []byte) error {
		each := len(out) / len(images)
		for k, img := range images {
			copy(img.Pix[i*band:], out[k*each:(k+1)*each])
		}
		return nil
	})
	return images, err
}

// shrunk is the plan for a raster of at most maxSide pixels a side.
func (p *Plan) shrunk(o Order, maxSide int) *Plan {
	s := *p
	s.Paper = nil // the picture is what is looked at
	k := min(1, float64(maxSide)/float64(max(p.Print.Width, p.Print.Height)))
	s.Print.Width = max(1, int(float64(float64(p.Print.Width)*k)+0.5))
	s.Print.Height = max(1, int(float64(float64(p.Print.Height)*k)+0.5))
	s.Print.PPI = p.Print.PPI * k
	s.scale(o.Settings)
	s.PreSharpening, s.ScaleSharpening, s.Grain = Sharpening{}, Sharpening{}, Grain{}
	s.OutputSharpening.RadiusPX = leastRadiusPX
	s.bands()
	return &s
}

func (r *Renderer) toScreen(proof Proof) (*colour.Transform, error) {
	c := colour.Chain{From: outputProfile(&r.src.Info, r.order.Output), To: srgb(), Intent: colour.Relative, BlackPoint: true}
	if proof == OnPaper {
		c.Intent, c.BlackPoint = colour.Absolute, false
	}
	return c.Bake()
}

// onScreen makes bands into 8-bit RGBA, whole for one screen after the other.
type onScreen struct {
	r       *Renderer
	screens []*colour.Transform
	pix     []byte
	rgb     [3][]float32
}

func (s *onScreen) size(b *band) int { return (b.bottom - b.top) * s.r.plan.Print.Width * 4 }

func (s *onScreen) begin(b *band) { s.pix = grow(s.pix, len(s.screens)*s.size(b)) }

func (s *onScreen) tile(b *band) {
	n := b.right - b.left
	out := make([][]float32, 3)
	for c := range out {
		s.rgb[c] = grow(s.rgb[c], n)
		out[c] = s.rgb[c]
	}
	for i, screen := range s.screens {
		for y := b.top; y < b.bottom; y++ {
			screen.Apply(out, s.r.finishedRow(b, y), n)
			at := i*s.size(b) + ((y-b.top)*s.r.plan.Print.Width+b.left)*4
			for x := range n {
				copy(s.pix[at+4*x:], []byte{to8(out[0][x]), to8(out[1][x]), to8(out[2][x]), 255})
			}
		}
	}
}

func (s *onScreen) end(_ *band, dst []byte) ([]byte, error) { return append(dst, s.pix...), nil }

func to8(v float32) byte { return byte(float32(min(max(v, 0), 1)*255) + 0.5) }
