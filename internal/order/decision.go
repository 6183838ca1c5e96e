package order

import (
	"errors"
	"fmt"
	"slices"

	"sizewright/internal/colour"
	"sizewright/internal/detail"
	"sizewright/internal/hold"
	"sizewright/internal/ladder"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
	"sizewright/internal/vision"
)

// Stage is how much a decision knows.
type Stage int

// The two stages.
const (
	Foreseen Stage = iota // from the header and the configuration: no print is made by it
	Final                 // from the pixels too, or a hold, which no pixel would change: a verdict
)

// Decision is what is to become of one order. It is a plain value: two decisions of
// the same photograph, folder and configuration are equal.
type Decision struct {
	Stage Stage
	Request
	Info     *photo.Info         // nil where the header cannot be read
	Plan     *Plan               // nil where there is none to make
	Hold     *hold.Hold          // nil: a print is made
	Cautions []photo.Caution     // what a person should know of the print, or would have
	Spectrum *detail.Spectrum    // where the picture's contrast lies; final decisions only
	Ladder   *ladder.Ladder      // the picture over many sizes; final decisions only
	Gamut    *colour.Gamut       // how far its colours miss the paper; final, and a stock with a profile
	Misses   *colour.Measurement // the same place by place, for its map
}

// planned takes a plan over, and what it refuses; a plan knows no file's name.
func (d *Decision) planned(p *Plan) {
	d.Plan, d.Hold = p, nil
	d.Cautions = slices.Clone(p.Cautions)
	if p.Refusal != nil {
		h := p.Refusal.Hold
		h.Text = d.Name + ": " + h.Text
		d.refuse(&h)
	}
}

// refuse makes the decision a hold.
func (d *Decision) refuse(h *hold.Hold) { d.Hold, d.Stage = h, Final }

// Recipe is what the print is made by. The error is that there is none to make, or
// that the decision is only foreseen: its numbers would change with what is measured.
func (d *Decision) Recipe() (render.Recipe, error) {
	switch {
	case d.Stage != Final:
		return render.Recipe{}, fmt.Errorf("order: %s is not decided yet: what becomes of it is only foreseen", d.Name)
	case d.Hold != nil:
		return render.Recipe{}, d.Hold
	}
	return d.Plan.Recipe(), nil
}

// held takes over what the picture is to blame for. Anything else is a fault, and is
// returned.
func (d *Decision) held(err error) error {
	var h *hold.Hold
	if errors.As(err, &h) {
		d.refuse(h)
		return nil
	}
	return err
}

// climb lays the picture over the usual sizes, the order's own print on its rung.
func (d *Decision) climb(src *photo.Photo) {
	s, own := d.Order.Settings, d.Order.Size
	sizes := ladder.DefaultSizes()
	if !slices.ContainsFunc(sizes, func(s printsize.Size) bool { return s.Name == own.Name }) {
		sizes = append(sizes, own)
	}
	o := ladder.Options{
		PPI: s.PPI, Viewer: vision.Viewer{Acuity: s.Acuity}, Mark: own.Name,
		Print: &ladder.Print{WidthMM: d.Plan.Print.WidthMM, HeightMM: d.Plan.Print.HeightMM, NativePPI: d.Plan.Resolution.NativePPI},
	}
	if s.ViewingDistanceMM > 0 {
		o.Distances = map[string]float64{own.Name: s.ViewingDistanceMM} // the other sizes would hang elsewhere
	}
	d.Ladder = ladder.New(ladder.Picture{Name: d.Name, Width: src.Width, Height: src.Height, Spectrum: d.Spectrum}, sizes, o)
}
