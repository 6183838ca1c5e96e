package order

import (
	"fmt"
	"strings"

	"sizewright/internal/config"
	"sizewright/internal/hold"
	"sizewright/internal/render"
	"sizewright/internal/sheet"
	"sizewright/internal/sheet/roll"
)

// Paper is where the print lies on its sheet or roll, in millimetres and in pixels,
// both for the upright picture.
type Paper struct {
	Layout   sheet.Layout   `json:"layout"`
	Raster   sheet.Raster   `json:"raster"`
	Pack     *Pack          `json:"pack,omitempty"` // set: the file holds only the piece, to be packed onto a roll with others
	Estimate sheet.Estimate `json:"estimate"`       // of this print alone
	Rates    sheet.Rates    `json:"rates"`          // for the estimate; the pace is that of the print mode
}

// Pack says how the print can be packed onto a roll with others.
type Pack struct {
	Roll     roll.Roll `json:"roll"`
	WidthMM  float64   `json:"width_mm"` // of the piece, with marks and caption
	HeightMM float64   `json:"height_mm"`
	MayTurn  bool      `json:"may_turn"` // by a quarter turn
}

// lay places the print on the first of the order's media that it fits. A print that
// fits none is refused; the refusal gives the largest size that would fit.
func (p *Plan) lay(o Order) {
	if len(o.Media) == 0 {
		return
	}
	options := o.Settings.Layout()
	options.Caption = p.captionText(options.Caption, o)
	var layout sheet.Layout
	for i, m := range o.Media {
		l := sheet.New(p.Print.WidthMM, p.Print.HeightMM, m, options)
		if i == 0 || l.Fits {
			layout = l
		}
		if l.Fits {
			break
		}
	}
	layout = layout.Upright() // so the file is upright too
	rates := o.Settings.Rates(nil)
	if times := o.ModeTimes[layout.Mode]; times > 0 {
		rates.M2PerHour /= times
	}
	p.Paper = &Paper{
		Layout: layout, Raster: layout.Pixels(p.Print.PPI, p.Print.Width, p.Print.Height),
		Rates: rates, Estimate: rates.Of(layout.Use()),
	}
	if s := o.Settings; s.Pack && layout.Kind == sheet.Roll && layout.Fits {
		p.Paper.pack(o.mediaNamed(layout.Media), s)
	}
	if layout.Fits {
		p.Cautions = append(p.Cautions, layout.Cautions...)
	}
	if !layout.Fits && p.Refusal == nil {
		p.Refusal = tooLarge(p, layout, o)
	}
}

// pack makes the file hold only the piece.
func (p *Paper) pack(m sheet.Media, s config.Settings) {
	l := p.Layout
	piece := l.Whole()
	p.Pack = &Pack{
		Roll: roll.Roll{
			WidthMM: m.WidthMM, Left: l.Margins.LeftMM, Right: l.Margins.RightMM,
			Leading: l.Margins.LeadingMM, Trailing: l.Margins.TrailingMM,
			MaxLengthMM: m.MaxLengthMM, GapMM: s.GapMM, LaneMM: s.LaneMM,
		},
		WidthMM: piece.Width, HeightMM: piece.Height, MayTurn: s.MayTurn,
	}
	p.Raster = p.Raster.Cropped()
}

func (o Order) mediaNamed(name string) sheet.Media {
	for _, m := range o.Media {
		if m.Name == name {
			return m
		}
	}
	return sheet.Media{}
}

// captionText fills in the placeholders of a caption. The file name has no extension.
func (p *Plan) captionText(text string, o Order) string {
	return strings.NewReplacer("{name}", o.Caption.Name, "{size}", p.Size.Name, "{stock}", o.Stock, "{date}", o.Caption.Date).Replace(text)
}

var tooLargeForPaper = hold.New("too-large-for-paper", "give the drop folder a larger paper")

func tooLarge(p *Plan, l sheet.Layout, o Order) *Refusal {
	if len(l.Problems) > 0 {
		return &Refusal{Hold: *tooLargeForPaper.Say("cannot be laid on %s: %s", l.Media, l.Problems[0].Text)}
	}
	var over []string
	if l.TooWideMM > 0 {
		over = append(over, fmt.Sprintf("%.1f mm too wide", l.TooWideMM))
	}
	if l.TooHighMM > 0 {
		over = append(over, fmt.Sprintf("%.1f mm too high", l.TooHighMM))
	}
	r := &Refusal{Hold: *tooLargeForPaper.Say("%s on %s is %s for the printable area", p.Size.Name, mediaWords(o), strings.Join(over, " and "))}
	if l.Largest != nil {
		r.WidthMM, r.HeightMM = l.Largest.WidthMM, l.Largest.HeightMM
		r.Text += fmt.Sprintf("; the largest of this shape that fits is %.0f x %.0f mm", r.WidthMM, r.HeightMM)
	}
	return r
}

func mediaWords(o Order) string {
	var names []string
	for _, m := range o.Media {
		names = append(names, m.Name)
	}
	return strings.Join(names, " or ")
}

// recipe returns the part that makes the file; nil if there is no paper.
func (p *Paper) recipe() *render.Paper {
	if p == nil {
		return nil
	}
	r, o := p.Raster, p.Layout.Options
	paper := &render.Paper{Width: r.Width, Height: r.Height, Picture: r.Picture, Ink: r.Ink, Bleed: o.Bleed, Marks: r.Marks}
	if r.Caption != nil && o.Caption != "" {
		paper.Caption = &render.Caption{Text: o.Caption, Place: *r.Caption}
	}
	return paper
}
