package render

import (
	"fmt"
	"math"

	"sizewright/internal/colour"
	"sizewright/internal/photo"
	"sizewright/internal/vector"
)

// Renderer carries out one recipe on one decoded photograph. It does not change after
// New, so any number of workers may share it.
type Renderer struct {
	recipe   Recipe
	src      *photo.Photo
	profiles Profiles
	canvas   canvas
	channels int // during scaling and sharpening: 1 or 3
	inks     int // of the print: 1, 3 or 4

	tile     int           // columns of a tile
	grids    [3]photo.Grid // of the source's planes
	apart    bool          // the source's planes are read separately
	margin   int           // samples beyond the ends of a source row
	x        [3]*vector.Resampler
	y        [3]*axis
	halos    *haloBounds       // set if halos are limited
	learned  *predictor        // set if a network adds to luma
	curve    []float32         // set if luma is enlarged through a curve
	tone     *colour.Tone      // set if light is averaged linearly
	toRGB    *colour.Transform // set for a CMYK picture
	toOutput *colour.Transform // set if the print has another profile

	preBlur, preBlurTwice blurKernel
	masks                 []mask // of sharpening on the print: none to two
	shape                 vector.SharpenOptions
	grainBlur             blurKernel
	grainHeight           float32
	seed                  uint32
}

// New prepares the tables of a recipe for its picture. It is an error if the recipe is
// for another picture, profile or program version.
func New(recipe Recipe, src *photo.Photo, p Profiles) (*Renderer, error) {
	if err := recipe.fits(src, p); err != nil {
		return nil, err
	}
	r := &Renderer{recipe: recipe, src: src, profiles: p, channels: min(src.Channels(), 3), tile: tileColumns}
	var err error
	if r.canvas, err = newCanvas(&recipe, p.Face); err != nil {
		return nil, err
	}
	r.blurs()
	r.axes()
	if err := r.predicts(); err != nil {
		return nil, err
	}
	return r, r.colours()
}

// axes prepares the scaling: one kernel for plane 0 and one for the others.
func (r *Renderer) axes() {
	p := &r.recipe
	r.grids, r.apart = r.src.YCC()
	if p.Scale.Light == "linear" || r.channels == 1 {
		for c := range r.grids {
			r.grids[c] = photo.Grid{Width: r.src.Width, Height: r.src.Height, SubX: 1, SubY: 1}
		}
		r.apart = false
	}
	var across [3]*axis
	for c := range r.channels {
		k := p.Scale.kernel()
		if c > 0 {
			k = kernelNamed(p.Scale.ChromaKernel)
		}
		g := r.grids[c]
		across[c] = newAxis(k, g.Width, onGrid(p.Crop.X, g.OffX, g.SubX), p.Crop.Width/float64(g.SubX), p.Print.Width)
		r.y[c] = newAxis(k, g.Height, onGrid(p.Crop.Y, g.OffY, g.SubY), p.Crop.Height/float64(g.SubY), p.Print.Height)
		r.margin = max(r.margin, across[c].margin(), r.preBlurTwice.reach())
	}
	for c := range r.channels {
		r.x[c] = across[c].resampler(r.margin)
	}
	if p.Scale.HaloLimit {
		r.halos = newHaloBounds(p, r.margin)
	}
	if p.Scale.Curve > 0 {
		r.curve = unsigmoid(p.Scale.Curve)
	}
}

// onGrid converts a picture coordinate of a pixel's edge to samples of a coarser grid.
func onGrid(at float64, off, sub int) float64 { return (at - float64(off)) / float64(sub) }

// blurs prepares the sharpening and the grain.
func (r *Renderer) blurs() {
	p := &r.recipe
	if s := p.PreSharpening; s.Applied {
		r.preBlur, r.preBlurTwice = gaussian(s.RadiusPX), gaussian(math.Sqrt2*s.RadiusPX)
	}
	all := 0.0
	for _, s := range []Sharpening{p.ScaleSharpening, p.OutputSharpening} {
		if !s.Applied {
			continue
		}
		shape := s.shape()
		shape.Amount += r.shape.Amount
		r.shape = shape
		r.masks = append(r.masks, mask{gaussian(s.RadiusPX), float32(s.Amount)})
		all += s.Amount
	}
	for i := range r.masks {
		r.masks[i].share /= float32(all)
	}
	if g := p.Grain; g.Applied {
		r.grainBlur = gaussian(g.SizePX)
		r.grainHeight = g.height(r.grainBlur)
		r.seed = r.src.Fingerprint()
	}
}

// colours prepares the colour conversions. A CMYK picture is first converted to RGB: to
// sRGB if the print is sRGB, otherwise to a space so wide that nothing is lost.
func (r *Renderer) colours() (err error) {
	c, working, to := r.recipe.Colour, r.profiles.Source, r.profiles.Output
	convert := c.Conversion != KeepColours
	if r.src.Model == photo.CMYK {
		working = colour.BuiltInROMM()
		if c.Conversion == ToSRGB {
			working, convert = to, false
		}
		if r.toRGB, err = inksTo(working, r.profiles.Source); err != nil {
			return err
		}
	}
	r.inks = r.channels
	if convert {
		r.inks = to.Channels
		chain := colour.Chain{From: working, To: to, Intent: c.Intent, BlackPoint: c.BlackPoint}
		if r.toOutput, err = chain.Bake(); err != nil {
			return fmt.Errorf("preparing the conversion to %s: %w", to.Name, err)
		}
	}
	if r.recipe.Scale.Light == "linear" {
		r.tone, err = working.Tone()
	}
	return err
}

// inksTo returns the conversion from CMYK to RGB: by its profile, or by plain arithmetic
// without one.
func inksTo(working, source *colour.Profile) (*colour.Transform, error) {
	if source == nil {
		return colour.PlainCMYK(), nil
	}
	return colour.Chain{From: source, To: working, Intent: colour.Relative, BlackPoint: true}.Bake()
}
