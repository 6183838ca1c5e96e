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
	// OnWhite shows the print's colours with the screen's white and black
	// in place of the paper's: media-relative, with black point compensation.
	OnWhite Proof = iota
	// OnPaper shows the paper's own white and black too: ICC-absolute.
	OnPaper
)

// Preview makes images of a print for a screen, in sRGB, one for each proof. It renders
// a small recipe without paper and converts back from the print's profile, so that the
// preview loses the colours that the paper cannot hold.
func Preview(ctx context.Context, small Recipe, src *photo.Photo, p Profiles, workers int, proofs ...Proof) ([]*image.RGBA, error) {
	r, err := New(small, src, p)
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

func (r *Renderer) toScreen(proof Proof) (*colour.Transform, error) {
	c := colour.Chain{From: r.profiles.Output, To: colour.BuiltInSRGB(), Intent: colour.Relative, BlackPoint: true}
	if proof == OnPaper {
		c.Intent, c.BlackPoint = colour.Absolute, false
	}
	return c.Bake()
}

// onScreen converts bands to 8-bit RGBA, one screen after the other.
type onScreen struct {
	r       *Renderer
	screens []*colour.Transform
	pix     []byte
	rgb     [3][]float32
}

func (s *onScreen) size(b *band) int { return (b.bottom - b.top) * s.r.recipe.Print.Width * 4 }

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
			at := i*s.size(b) + ((y-b.top)*s.r.recipe.Print.Width+b.left)*4
			for x := range n {
				copy(s.pix[at+4*x:], []byte{to8(out[0][x]), to8(out[1][x]), to8(out[2][x]), 255})
			}
		}
	}
}

func (s *onScreen) end(_ *band, dst []byte) ([]byte, error) { return append(dst, s.pix...), nil }

func to8(v float32) byte { return byte(float32(min(max(v, 0), 1)*255) + 0.5) }
