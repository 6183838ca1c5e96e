package order

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/detail"
	"sizewright/internal/edition"
	"sizewright/internal/hold"
	"sizewright/internal/label"
	"sizewright/internal/ladder"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
	"sizewright/internal/vision"
)

// Stage says how much a decision is based on.
type Stage int

// The two stages.
const (
	Foreseen Stage = iota // the header and the configuration: no print is made yet
	Final                 // the pixels too, or a hold that no pixel could change: a verdict
)

// Decision is what becomes of one order. It is a plain value: two decisions about
// the same photograph, folder and configuration are equal.
type Decision struct {
	Stage Stage
	Request
	Info     *photo.Info         // nil if the header cannot be read
	Plan     *Plan               // nil if no plan could be made
	Hold     *hold.Hold          // nil if a print is made
	Cautions []photo.Caution     // also set for a hold
	Spectrum *detail.Spectrum    // where the picture's contrast lies; final decisions only
	Ladder   *ladder.Ladder      // the picture over many sizes; final decisions only
	Gamut    *colour.Gamut       // how far its colours miss the paper; final decisions for a stock with a profile only
	Misses   *colour.Measurement // the same for each place, for the gamut map
}

// planned sets the plan, and its refusal as a hold. A plan does not know the file's
// name, so it is added here.
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

// Recipe returns the recipe of the print. It is an error if the order is held, or if
// the decision is only foreseen: measuring would still change the numbers.
func (d *Decision) Recipe() (render.Recipe, error) {
	switch {
	case d.Stage != Final:
		return render.Recipe{}, fmt.Errorf("order: %s is not decided yet: the picture was not measured", d.Name)
	case d.Hold != nil:
		return render.Recipe{}, d.Hold
	}
	return d.Plan.Recipe(), nil
}

// Number gives the copies of a numbered order their numbers.
func (d *Decision) Number(numbers []int) {
	d.Order.Numbers, d.Plan.Asked.Numbers = numbers, numbers
	if d.Plan.Paper != nil {
		d.Plan.Paper.Layout.Options.Caption = d.Plan.captionText(d.Order, d.Order.firstNumber())
	}
}

// NumberedRecipe is [Decision.Recipe] for the copy with a number.
func (d *Decision) NumberedRecipe(number int) (render.Recipe, error) {
	r, err := d.Recipe()
	if err == nil && r.Paper != nil && r.Paper.Caption != nil {
		r.Paper.Caption.Text = d.Plan.captionText(d.Order, number)
	}
	return r, err
}

// Label returns the words of the label for the copy with a number, 0 without an edition.
func (d *Decision) Label(number int) label.Words {
	p, o := d.Plan, d.Order
	w := label.Words{
		Title: cmp.Or(d.Info.Words.Title, o.Caption.Name), Maker: d.Info.Artist(), Edition: o.editionText(number),
		Size: fmt.Sprintf("%s, %.0f x %.0f mm", p.Size.Name, p.Print.WidthMM, p.Print.HeightMM), Paper: o.Stock, Date: o.Caption.Date,
	}
	if w.Paper == "" && p.Paper != nil {
		w.Paper = p.Paper.Layout.Media
	}
	return w
}

var usedUp = hold.New("edition-used-up", "drop it where no edition is set, or set a larger one; if a print of it was spoiled, say which with `sizewright printed NAME --spoiled --edition NUMBER`, and print that again")

// UsedUp is the hold of an order for which its edition has no numbers left; nil for any
// other error.
func UsedUp(name string, err error) *hold.Hold {
	var e *edition.UsedUpError
	if !errors.As(err, &e) {
		return nil
	}
	if e.Left > 0 {
		return usedUp.With("ask for fewer copies").Say("%s: %v", name, e)
	}
	return usedUp.Say("%s: %v", name, e)
}

// held makes the decision a hold if err is one. It returns any other error, which is
// a fault.
func (d *Decision) held(err error) error {
	var h *hold.Hold
	if errors.As(err, &h) {
		d.refuse(h)
		return nil
	}
	return err
}

// climb makes the ladder: the picture at the usual sizes, and at the order's own. The other
// sizes are judged as orders for them on the same stock would be.
func (d *Decision) climb(src *photo.Photo, c *config.Config) {
	s, own := d.Order.Settings, d.Order.Size
	sizes := ladder.DefaultSizes()
	if !slices.ContainsFunc(sizes, func(s printsize.Size) bool { return s.Name == own.Name }) {
		sizes = append(sizes, own)
	}
	native := cmp.Or(d.Plan.Resolution.NativePPI, d.Plan.Crop.Width*printsize.MMPerInch/d.Plan.Print.WidthMM) // of a pixel on a wall it is rounded to none
	o := ladder.Options{
		PPI: s.PPI, Viewer: vision.Viewer{Acuity: s.Acuity}, Mark: own.Name,
		Print: &ladder.Print{WidthMM: d.Plan.Print.WidthMM, HeightMM: d.Plan.Print.HeightMM, NativePPI: native},
	}
	o.Levels = func(size string, diagonalMM float64) vision.Levels {
		if size == own.Name {
			return Levels(diagonalMM, s)
		}
		return Levels(diagonalMM, c.Settings(size, d.Order.Stock))
	}
	if s.ViewingDistanceMM > 0 {
		o.Distances = map[string]float64{own.Name: s.ViewingDistanceMM} // set for this size only
	}
	d.Ladder = ladder.New(ladder.Picture{Name: d.Name, Width: src.Width, Height: src.Height, Spectrum: d.Spectrum, Counted: d.Plan.Measured.Counted()}, sizes, o)
}
