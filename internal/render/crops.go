package render

import (
	"image"

	"sizewright/internal/colour"
	"sizewright/internal/photo"
)

// Crop is a square of the print at 100 % of its pixels, in sRGB for a screen, with and
// without sharpening.
type Crop struct {
	Place         Place
	X, Y, Side    int // in the print, px
	After, Before *image.RGBA
}

// CropSide is the side of a crop in px, unless the print is smaller.
const CropSide = 320

// Crops cuts squares out of a recipe's print at the given places. Two places that would
// give nearly the same square give one.
func Crops(recipe Recipe, src *photo.Photo, p Profiles, places []Place) ([]Crop, error) {
	r, err := New(recipe, src, p)
	if err != nil {
		return nil, err
	}
	recipe.PreSharpening.Applied, recipe.ScaleSharpening.Applied, recipe.OutputSharpening.Applied = false, false, false
	unsharpened, err := New(recipe, src, p)
	if err != nil {
		return nil, err
	}
	screen, err := r.toScreen(OnWhite)
	if err != nil {
		return nil, err
	}
	var all []Crop
	for _, place := range places {
		c := Crop{Place: place}
		c.Side = min(CropSide, r.recipe.Print.Width, r.recipe.Print.Height)
		c.X, c.Y, _, _ = r.recipe.cutOut(place, c.Side, c.Side)
		if c.near(all) {
			continue
		}
		c.After, c.Before = r.square(c, screen), unsharpened.square(c, screen)
		all = append(all, c)
	}
	return all, nil
}

// near reports whether the crop shows much of what an earlier one shows.
func (c Crop) near(all []Crop) bool {
	for _, o := range all {
		if max(c.X-o.X, o.X-c.X) < c.Side/2 && max(c.Y-o.Y, o.Y-c.Y) < c.Side/2 {
			return true
		}
	}
	return false
}

func (r *Renderer) square(c Crop, screen *colour.Transform) *image.RGBA {
	pix := r.Region(c.X, c.Y, c.Side, c.Side)
	n := c.Side * c.Side
	planes, rgb := make([][]float32, r.inks), make([][]float32, 3)
	for k := range planes {
		planes[k] = make([]float32, n)
		for i := range n {
			planes[k][i] = float32(pix[i*r.inks+k]) / 65535
		}
	}
	for k := range rgb {
		rgb[k] = make([]float32, n)
	}
	screen.Apply(rgb, planes, n)
	img := image.NewRGBA(image.Rect(0, 0, c.Side, c.Side))
	for i := range n {
		copy(img.Pix[4*i:], []byte{to8(rgb[0][i]), to8(rgb[1][i]), to8(rgb[2][i]), 255})
	}
	return img
}
