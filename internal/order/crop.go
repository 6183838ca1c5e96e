package order

import (
	"fmt"
	"strings"

	"sizewright/internal/caution"
	"sizewright/internal/config"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
)

// Cropping says why the crop lies where it does.
type Cropping struct {
	At      string       `json:"at"`                // one of [printsize.Crops]
	Why     string       `json:"why"`               // a phrase that goes on "cropped to 4000 x 4000 px"
	Subject *render.Rect `json:"subject,omitempty"` // what no crop with room for it cuts; nil if none was found, or was looked for
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
	switch s.Crop {
	case printsize.CropCentre:
		return
	case printsize.CropAuto:
		p.cutToDetail(wide > high)
		return
	}
	p.Cropping.Why = fmt.Sprintf("to keep its %s", s.Crop)
	switch across := wide > high; {
	case across && !strings.Contains(s.Crop, "left") && !strings.Contains(s.Crop, "right"):
		p.Cropping.Why = fmt.Sprintf("at its centre: %q decides nothing where the sides are cut", s.Crop)
	case !across && !strings.Contains(s.Crop, "top") && !strings.Contains(s.Crop, "bottom"):
		p.Cropping.Why = fmt.Sprintf("at its centre: %q decides nothing where top and bottom are cut", s.Crop)
	}
	p.Crop.X, p.Crop.Y = begin(s.Crop, "left", "right", wide), begin(s.Crop, "top", "bottom", high)
}

// begin is where a crop begins that leaves so much over: at the first or last side if the
// word names one, else in the middle.
func begin(word, first, last string, over float64) float64 {
	switch {
	case strings.Contains(word, first):
		return 0
	case strings.Contains(word, last):
		return over
	}
	return over / 2
}

// cutToDetail moves the crop, which leaves out a part of the width (across) or of the
// height, to where the detail is.
func (p *Plan) cutToDetail(across bool) {
	at, kept, all := &p.Crop.Y, p.Crop.Height, float64(p.Picture.Height)
	if across {
		at, kept, all = &p.Crop.X, p.Crop.Width, float64(p.Picture.Width)
	}
	c := p.Cropping
	if p.Measured == nil || p.Measured.Interest == nil {
		c.Why = "at its centre until it is measured"
		return
	}
	w := p.Measured.Interest.Window(across, kept/all)
	*at = w.From * all
	held := fmt.Sprintf("where %.0f %% of its detail lies, as it would be %.0f %% at its centre", 100*w.Holds, 100*w.Centred)
	switch {
	case w.SubjectTo == 0:
		c.Why = "at its centre, since no subject was told apart: its detail lies all over, or it has none"
	default:
		c.Why = held
		c.Subject = p.along(across, w.SubjectFrom*all, (w.SubjectTo-w.SubjectFrom)*all)
	}
}

// along is a part of the width of the picture (across) or of its height, and all of the other.
func (p *Plan) along(across bool, from, length float64) *render.Rect {
	r := render.Rect{X: from, Width: length, Height: float64(p.Picture.Height)}
	if !across {
		r = render.Rect{Y: from, Width: float64(p.Picture.Width), Height: length}
	}
	return &r
}

var subjectCut = caution.New("subject-cut", caution.WorthALook,
	"Look at the crop. If it is wrong, name the folder with the side to keep, such as \"A2 top\", or set fit = \"whole\".")

// cautionOfCrop says that the crop found by detail has no room for all of the subject.
func (p *Plan) cautionOfCrop() {
	c := p.Cropping
	if c == nil || c.Subject == nil {
		return
	}
	if s := c.Subject; s.Width > p.Crop.Width || s.Height > p.Crop.Height {
		p.caution(subjectCut, "most of its detail lies in %.0f x %.0f px, and a crop of this shape keeps %.0f x %.0f: some of the subject is cut",
			s.Width, s.Height, p.Crop.Width, p.Crop.Height)
	}
}

// followsDetail tells whether the order's crop hangs on where the detail lies.
func (o Order) followsDetail() bool {
	return o.Settings.Fit == config.FitFill && o.Settings.Crop == printsize.CropAuto
}
