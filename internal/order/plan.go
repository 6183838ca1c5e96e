package order

import (
	"math"

	"sizewright/internal/caution"
	"sizewright/internal/hold"
	"sizewright/internal/photo"
	"sizewright/internal/render"
)

// Plan holds every decision about one print: the recipe that makes it, and the notes
// that a person reads. The two stand together, by subject, because they are read that
// way and recorded that way. A subject with numbers of the recipe embeds its type from
// package render; [Plan.Recipe] gathers those. All else is notes: reasons, estimates,
// cautions and a refusal change no pixel.
type Plan struct {
	Asked            *PlanAsked      `json:"asked,omitempty"` // nil in records from before it was kept
	Size             PlanSize        `json:"size"`
	Stock            string          `json:"stock,omitempty"`
	Picture          PlanPicture     `json:"picture"`
	Fit              string          `json:"fit"`                // "whole" or "fill"
	Crop             render.Rect     `json:"crop"`               // of the upright picture, source pixels
	Cropping         *Cropping       `json:"cropping,omitempty"` // nil: nothing is cut
	Print            PlanPrint       `json:"print"`
	Resolution       Resolution      `json:"resolution"`
	Scale            render.Scale    `json:"scale"`
	Predicted        string          `json:"predicted,omitempty"` // what a network adds to the enlargement, in words; "" if none was asked for
	Measured         *Measured       `json:"measured,omitempty"`  // nil before measuring
	PreSharpening    Sharpening      `json:"pre_sharpening"`
	ScaleSharpening  Sharpening      `json:"scale_sharpening"`
	OutputSharpening Sharpening      `json:"output_sharpening"`
	Grain            Grain           `json:"grain"`
	Paper            *Paper          `json:"paper,omitempty"` // nil: the file holds only the picture
	Colour           PlanColour      `json:"colour"`
	File             PlanFile        `json:"file"`
	Cautions         []photo.Caution `json:"cautions"`
	Refusal          *Refusal        `json:"refusal,omitempty"` // set: no print is to be made

	info     *photo.Info     // that it was made from
	Profiles render.Profiles `json:"-"` // that the recipe is for; empty in a plan that was read from a record
}

// PlanAsked is what the drop folder says beside the size.
type PlanAsked struct {
	Folder  string   `json:"folder"`
	Job     string   `json:"job,omitempty"`             // whose it is
	Copies  int      `json:"copies"`                    // how often the file is to be printed, at least 1
	Of      int      `json:"edition,omitempty"`         // how many prints its edition has; 0 for none
	Numbers []int    `json:"edition_numbers,omitempty"` // of it, one for each copy: those that come next, until they are given
	Tables  []string `json:"tables,omitempty"`          // of the settings for this folder, each laid over the one before
}

func newAsked(o Order) *PlanAsked {
	a := &PlanAsked{Folder: o.Folder, Job: o.Job, Copies: max(1, o.Settings.Copies), Tables: o.Tables}
	if o.Numbered() {
		a.Of, a.Numbers = o.Settings.Edition, o.Numbers
	}
	return a
}

// Copies is how often the print's file is to be printed.
func (p *Plan) Copies() int {
	if p.Asked == nil {
		return 1
	}
	return max(1, p.Asked.Copies)
}

// AskedAs returns the plan of a print that another order asks for again: the print as it
// was decided, with what the other plan asks and what its copies take.
func (p *Plan) AskedAs(again *Plan) *Plan {
	asked := *p
	asked.Asked = again.Asked
	if p.Paper != nil && again.Paper != nil {
		paper := *p.Paper
		paper.Estimate, paper.Rates = again.Paper.Estimate, again.Paper.Rates
		asked.Paper = &paper
	}
	return &asked
}

// PlanSize is the size asked for, in the picture's orientation.
type PlanSize struct {
	Name     string  `json:"name"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
}

// PlanPicture is the upright photograph, from its header.
type PlanPicture struct {
	Format string `json:"format"`
	render.Picture
	Orientation int    `json:"orientation"` // as stored in EXIF, 1..8; the print has it applied
	Model       string `json:"model"`       // grey, rgb or cmyk
	Bits        int    `json:"bits"`
	Subsampling string `json:"chroma_subsampling,omitempty"` // as "4:2:0", if it is coarser than luma
}

// PlanPrint is the print's exact size.
type PlanPrint struct {
	render.Print
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
}

// PlanFile is the form of the file.
type PlanFile struct {
	render.File
	Dither   bool  `json:"dither"`    // true for 8 bits
	MaxBytes int64 `json:"max_bytes"` // greatest possible size
}

// Refusal is why no print is made.
type Refusal struct {
	hold.Hold
	// The largest print this picture could make here, in mm, and the largest
	// standard size within it, "" for none.
	WidthMM  float64 `json:"largest_width_mm"`
	HeightMM float64 `json:"largest_height_mm"`
	Size     string  `json:"largest_size,omitempty"`
}

// NewPlan decides everything that does not depend on the pixels. With info from the
// header ([photo.Identify]) it finds refusals without decoding; the plan of a print
// uses the decoded picture's Info, which has cautions that the header does not show.
// [Plan.WithMeasurement] adds what depends on the pixels. The same arguments give the
// same plan.
func NewPlan(info *photo.Info, o Order) *Plan { return newPlan(info, o, nil) }

// WithMeasurement returns the complete plan of the same picture and order. The sharpening
// and the verdict follow what was measured of the pixels. It does not change p.
func (p *Plan) WithMeasurement(m Measured, o Order) *Plan { return newPlan(p.info, o, &m) }

func newPlan(info *photo.Info, o Order, m *Measured) *Plan {
	p := &Plan{
		info: info, Measured: m,
		Asked: newAsked(o),
		Stock: o.Stock,
		Fit:   string(o.Settings.Fit),
		Picture: PlanPicture{
			Picture: render.Picture{Width: info.Width, Height: info.Height},
			Format:  info.Format, Orientation: info.Orientation, Model: string(info.Model), Bits: info.Bits,
			Subsampling: info.Subsampling,
		},
		Cautions: append([]photo.Caution{}, info.Cautions...),
	}
	w, h := o.Size.Fit(info.Width > info.Height)
	p.Size = PlanSize{Name: o.Size.Name, WidthMM: w, HeightMM: h}
	p.place(o.Size, o.Settings)
	p.resolution(o)
	p.cautionOfCrop()
	p.scale(o.Settings)
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

var stockLabel = caution.New("stock-label", caution.ForTheRecord, "")

func (p *Plan) caution(k caution.Kind, format string, args ...any) {
	p.Cautions = append(p.Cautions, k.Say(format, args...))
}

// Recipe returns the part of the plan that makes the print.
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

// Extent returns the size of the file in px: of the sheet, or of the picture alone.
func (p *Plan) Extent() (width, height int) {
	r := p.Recipe()
	return r.Extent()
}

func round(v float64, places int) float64 {
	s := math.Pow10(places)
	return math.Round(v*s) / s
}
