package order

import (
	"errors"
	"slices"

	"sizewright/internal/colour"
	"sizewright/internal/detail"
	"sizewright/internal/eye"
	"sizewright/internal/hold"
	"sizewright/internal/ladder"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
)

// Stage is how much a decision knows.
type Stage int

// The two stages.
const (
	Foreseen Stage = iota // from the header and the configuration
	Final                 // from the pixels too: a verdict
)

// Decision is what is to become of one order. It is a plain value: two decisions of
// the same photograph, folder and configuration are equal.
type Decision struct {
	Stage    Stage
	Request  Request
	Order    render.Order        // what the folder asks
	Info     *photo.Info         // nil where the header cannot be read
	Plan     *render.Plan        // nil where there is none to make
	Hold     *hold.Hold          // nil: a print is made
	Cautions []photo.Caution     // what a person should know of the print, or would have
	Spectrum *detail.Spectrum    // where the picture's contrast lies; final decisions only
	Ladder   *ladder.Ladder      // the picture over many sizes; final decisions only
	Gamut    *colour.Measurement // how far its colours miss the paper; final, and a stock with a profile
}

// planned takes a plan over, and what it refuses; a plan knows no file's name.
func (d *Decision) planned(p *render.Plan) {
	d.Plan, d.Hold = p, nil
	d.Cautions = slices.Clone(p.Cautions)
	if p.Refusal != nil {
		h := p.Refusal.Hold
		h.Text = d.Request.Name + ": " + h.Text
		d.Hold = &h
	}
}

// held takes over what the picture is to blame for. Anything else is a fault, and is
// returned.
func (d *Decision) held(err error) error {
	if errors.As(err, &d.Hold) {
		return nil
	}
	return err
}

// climb lays the picture over the usual sizes, the order's own print on its rung.
func (d *Decision) climb(src *photo.Photo) {
	s, own := d.Order.Settings, d.Order.Size
	sizes := ladder.Usual()
	if !slices.ContainsFunc(sizes, func(s printsize.Size) bool { return s.Name == own.Name }) {
		sizes = append(sizes, own)
	}
	o := ladder.Options{
		PPI: s.PPI, Viewer: eye.Viewer{Acuity: s.Acuity}, Mark: own.Name,
		Print: &ladder.Print{WidthMM: d.Plan.Print.WidthMM, HeightMM: d.Plan.Print.HeightMM, NativePPI: d.Plan.Resolution.NativePPI},
	}
	if s.ViewingDistanceMM > 0 {
		o.Distances = map[string]float64{own.Name: s.ViewingDistanceMM} // the other sizes would hang elsewhere
	}
	d.Ladder = ladder.New(ladder.Picture{Name: d.Request.Name, Width: src.Width, Height: src.Height, Spectrum: d.Spectrum}, sizes, o)
}
