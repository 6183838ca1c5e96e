package order

import (
	"fmt"
	"strings"

	"sizewright/internal/config"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
)

// Cropping says why the crop lies where it does.
type Cropping struct {
	At  string `json:"at"`  // one of [printsize.Crops]
	Why string `json:"why"` // a phrase that goes on "cropped to 4000 x 4000 px"
}

// leastCut is the part of a picture, in px, whose loss is a crop. Less is the shape's rounding.
const leastCut = 1

// cut moves the crop, which has its size, to its place.
func (p *Plan) cut(s config.Settings) {
	wide, high := float64(p.Picture.Width)-p.Crop.Width, float64(p.Picture.Height)-p.Crop.Height
	p.Crop.X, p.Crop.Y = wide/2, high/2
	p.Cropping = nil
	if max(wide, high) < leastCut {
		return
	}
	p.Cropping = &Cropping{At: s.Crop, Why: "at its centre"}
	if s.Crop == printsize.CropCentre {
		return
	}
	p.Crop.X = sideOf(s.Crop, "left", "right", wide)
	p.Crop.Y = sideOf(s.Crop, "top", "bottom", high)
	p.Cropping.Why = fmt.Sprintf("to keep its %s", s.Crop)
	if p.Crop == (render.Rect{X: wide / 2, Y: high / 2, Width: p.Crop.Width, Height: p.Crop.Height}) {
		p.Cropping.Why = fmt.Sprintf("at its centre: %q decides nothing where %s are cut", s.Crop, map[bool]string{true: "the sides", false: "top and bottom"}[wide > high])
	}
}

// sideOf is where a crop begins that leaves so much over: at the first or last side if the
// word names one, else in the middle.
func sideOf(word, first, last string, over float64) float64 {
	switch {
	case strings.Contains(word, first):
		return 0
	case strings.Contains(word, last):
		return over
	}
	return over / 2
}
