package order

import (
	"math"

	"sizewright/internal/caution"
	"sizewright/internal/hold"
	"sizewright/internal/photo"
	"sizewright/internal/render"
)

// Plan is every decision about one print: the recipe it is made by, and the notes that
// a person reads. Both stand together, subject by subject, since that is how they are
// read and how the print record holds them. A subject that has numbers of the recipe
// embeds those of package render; [Plan.Recipe] gathers them. All else is notes: no
// whys, estimates, cautions or refusal ever make a pixel.
type Plan struct {
	Size             PlanSize        `json:"size"`
	Stock            string          `json:"stock,omitempty"`
	Picture          PlanPicture     `json:"picture"`
	Fit              string          `json:"fit"`  // "whole" or "fill"
	Crop             render.Rect     `json:"crop"` // of the upright picture, source pixels
	Print            PlanPrint       `json:"print"`
	Resolution       Resolution      `json:"resolution"`
	Scale            render.Scale    `json:"scale"`
	Measured         *Measured       `json:"measured,omitempty"` // of the picture's pixels; nil before
	PreSharpening    Sharpening      `json:"pre_sharpening"`
	ScaleSharpening  Sharpening      `json:"scale_sharpening"`
	OutputSharpening Sharpening      `json:"output_sharpening"`
	Grain            Grain           `json:"grain"`
	Paper            *Paper          `json:"paper,omitempty"` // nil: the file is the picture alone
	Colour           PlanColour      `json:"colour"`
	File             PlanFile        `json:"file"`
	Cautions         []photo.Caution `json:"cautions"`
	Refusal          *Refusal        `json:"refusal,omitempty"` // set: no print is to be made

	Profiles render.Profiles `json:"-"` // that the recipe is for; empty in a plan that was read from a record
}

// PlanSize is the size asked for, turned as the picture is.
type PlanSize struct {
	Name     string  `json:"name"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
}

// PlanPicture is the photograph as its header gives it, upright.
type PlanPicture struct {
	Format string `json:"format"`
	render.Picture
	Orientation int    `json:"orientation"` // as stored, EXIF 1..8; applied, and 1 in the print
	Model       string `json:"model"`       // grey, rgb or cmyk
	Bits        int    `json:"bits"`
	Subsampling string `json:"chroma_subsampling,omitempty"` // of a JPEG, as "4:2:0"
}

// PlanPrint is the print's exact extent.
type PlanPrint struct {
	render.Print
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
}

// PlanFile is the form of the file.
type PlanFile struct {
	render.File
	Dither   bool  `json:"dither"`    // as 8 bits always are
	MaxBytes int64 `json:"max_bytes"` // no print of this plan is larger
}

// Refusal is why no print is made.
type Refusal struct {
	hold.Hold
	// The largest print this picture would carry here, in mm, and the
	// largest standard size that stays within it, "" for none.
	WidthMM  float64 `json:"largest_width_mm"`
	HeightMM float64 `json:"largest_height_mm"`
	Size     string  `json:"largest_size,omitempty"`
}

// NewPlan decides about one print all that the picture says of itself, and touches
// no pixel. By the header alone ([photo.Identify]) it tells what is refused without
// decoding; the plan of a print is made of the decoded picture's Info, which has
// cautions that no header gives away. What hangs on the pixels themselves is left
// to [Plan.WithMeasurement]. The same arguments give the same plan.
func NewPlan(info *photo.Info, o Order) *Plan {
	p := &Plan{
		Stock: o.Stock,
		Fit:   string(o.Settings.Fit),
		Picture: PlanPicture{
			Picture: render.Picture{Width: info.Width, Height: info.Height},
			Format:  info.Format, Orientation: info.Orientation, Model: string(info.Model), Bits: info.Bits,
			Subsampling: info.Subsampling,
		},
		Cautions: append([]photo.Caution{}, info.Cautions...),
	}
	p.place(o)
	p.scale(o.Settings)
	p.resolution(o.Settings)
	p.sharpening(o.Settings)
	p.grain(o.Settings)
	p.lay(o)
	p.colour(info, o)
	p.file(info, o.Settings)
	if o.Label {
		p.caution(stockLabel, "%q after the size is a label alone, since sizewright.toml names no stocks: the print has the settings for any paper", o.Stock)
	}
	return p
}

var stockLabel = caution.New("stock-label", caution.ForTheRecord,
	"If it is a paper with settings of its own, add it to sizewright.toml as a stock.")

func (p *Plan) caution(k caution.Kind, format string, args ...any) {
	p.Cautions = append(p.Cautions, k.Say(format, args...))
}

// Recipe is what of the plan makes the print.
func (p *Plan) Recipe() render.Recipe {
	return render.Recipe{
		Version: render.RecipeVersion,
		Picture: p.Picture.Picture, Crop: p.Crop, Print: p.Print.Print, Scale: p.Scale,
		PreSharpening:    p.PreSharpening.Sharpening,
		ScaleSharpening:  p.ScaleSharpening.Sharpening,
		OutputSharpening: p.OutputSharpening.Sharpening,
		Grain:            p.Grain.Grain, Paper: p.Paper.recipe(), Colour: p.Colour.Colour, File: p.File.File,
	}
}

// Extent is the raster of the file, in px: of the sheet, or of the picture alone.
func (p *Plan) Extent() (width, height int) {
	r := p.Recipe()
	return r.Extent()
}

func round(v float64, places int) float64 {
	s := math.Pow10(places)
	return math.Round(v*s) / s
}
