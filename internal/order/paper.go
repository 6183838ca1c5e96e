package order

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"sizewright/internal/caption"
	"sizewright/internal/caution"
	"sizewright/internal/config"
	"sizewright/internal/hold"
	"sizewright/internal/plural"
	"sizewright/internal/render"
	"sizewright/internal/sheet"
	"sizewright/internal/sheet/roll"
)

// Paper is where the print lies on its sheet or roll, in millimetres and in pixels,
// both for the upright picture.
type Paper struct {
	Layout   sheet.Layout   `json:"layout"`
	Raster   sheet.Raster   `json:"raster"`
	Pack     *Pack          `json:"pack,omitempty"`         // set: the file holds only the piece, to be packed onto a roll with others
	Font     *Font          `json:"caption_font,omitempty"` // nil for the built-in one
	Estimate sheet.Estimate `json:"estimate"`               // of this print's copies alone
	Rates    sheet.Rates    `json:"rates"`                  // for the estimate; the pace is that of the print mode
}

// Font is the font that a caption is set in.
type Font struct {
	Name   string `json:"name"` // of its file
	SHA256 string `json:"sha256"`
}

// Pack says how the print can be packed onto a roll with others.
type Pack struct {
	Roll     roll.Roll `json:"roll"`
	WidthMM  float64   `json:"width_mm"` // of the piece, with marks and caption
	HeightMM float64   `json:"height_mm"`
	MayTurn  bool      `json:"may_turn"`       // by a quarter turn
	File     bool      `json:"file,omitempty"` // each run of the roll is made a file too
}

// lay places the print on the first of the order's media that it fits. A print that
// fits none is refused; the refusal gives the largest size that would fit.
func (p *Plan) lay(o Order) {
	if len(o.Media) == 0 {
		return
	}
	layout := p.layOnOne(o).Upright() // so the file is upright too
	rates := o.Settings.Rates(nil)
	if times := o.ModeTimes[layout.Mode]; times > 0 {
		rates.M2PerHour /= times
	}
	p.Paper = &Paper{
		Layout: layout, Raster: layout.Pixels(p.Print.PPI, p.Print.Width, p.Print.Height),
		Rates: rates, Estimate: rates.Of(layout.Use()).Times(p.Copies()),
	}
	if o.Face != nil {
		p.Paper.Font = &Font{o.Face.Name, o.Face.SHA256}
	}
	if !layout.Fits {
		p.refuseForPaper(tooLarge(p, layout, o))
		return
	}
	if o.Settings.Pack && layout.Kind == sheet.Roll {
		p.pack(o.mediaNamed(layout.Media), o.Settings)
	}
	p.Cautions = append(p.Cautions, p.Paper.Layout.Cautions...)
	p.cautionOfCaption(o.Face)
	p.compareWithBars(o)
}

func (p *Plan) refuseForPaper(r *Refusal) {
	if p.Refusal == nil {
		p.Refusal = r
	}
}

// layOnOne returns the layout on the first of the media that the print fits, or on the one
// that comes nearest to fitting.
func (p *Plan) layOnOne(o Order) sheet.Layout {
	options := o.Settings.Layout()
	options.Caption = p.captionText(o, o.firstNumber())
	var nearest sheet.Layout
	for i, m := range o.Media {
		l := sheet.New(p.Print.WidthMM, p.Print.HeightMM, m, options)
		if l.Fits {
			return l
		}
		if i == 0 || room(l) > room(nearest) {
			nearest = l
		}
	}
	return nearest
}

// room returns the width of the largest picture that would fit if this one does not.
func room(l sheet.Layout) float64 {
	if l.Largest == nil {
		return -1 // no size fits there
	}
	return l.Largest.WidthMM
}

// pack makes the file hold only the piece: the night's cutting plan says where it lies and
// in which orientation. A piece that the plan could not place is refused.
func (p *Plan) pack(m sheet.Media, s config.Settings) {
	l := p.Paper.Layout
	cropped := l.Cropped()
	piece := cropped.Sheet
	pack := &Pack{
		Roll: roll.Roll{
			WidthMM: m.WidthMM, Left: l.Margins.LeftMM, Right: l.Margins.RightMM,
			Leading: l.Margins.LeadingMM, Trailing: l.Margins.TrailingMM,
			MaxLengthMM: m.MaxLengthMM, GapMM: s.GapMM, LaneMM: s.LaneMM,
		},
		WidthMM: piece.Width, HeightMM: piece.Height, MayTurn: s.MayTurn, File: s.PackFile,
	}
	p.Paper.Pack, p.Paper.Raster, p.Paper.Layout = pack, p.Paper.Raster.Cropped(), cropped
	alone := roll.Pack([]roll.Item{{WidthMM: piece.Width, HeightMM: piece.Height, MayTurn: s.MayTurn}}, pack.Roll)
	for _, no := range alone.Unplaced {
		p.refuseForPaper(&Refusal{Hold: *tooLargeForPaper.Say("%s cannot be packed onto %s: %s", p.Size.Name, l.Media, strings.TrimSuffix(no.Sentence, "."))})
		return
	}
	u := l.Use()
	u.LengthMM = alone.LengthMM
	p.Paper.Estimate = p.Paper.Rates.Of(u).Times(p.Copies())
}

func (o Order) mediaNamed(name string) sheet.Media {
	for _, m := range o.Media {
		if m.Name == name {
			return m
		}
	}
	return sheet.Media{}
}

// barsTolerance is how much shorter than its stretcher bars a wrapped picture may be, in mm:
// canvas stretches, and the fold may be that far from the edge (house judgement).
const barsTolerance = 2

var otherShape = caution.New("not-the-shape-of-its-bars", caution.NeedsYou,
	"Use bars of the printed size, or set fit = \"fill\" to crop the picture to the folder's size.")

// compareWithBars warns of a wrap for bars of another size. Bars are bought for the folder's
// size, and a whole picture of another shape is too short for them on one side.
func (p *Plan) compareWithBars(o Order) {
	short := max(p.Size.WidthMM-p.Print.WidthMM, p.Size.HeightMM-p.Print.HeightMM)
	if o.Settings.WrapMM > 0 && short > barsTolerance {
		p.caution(otherShape, "%s is printed at %.0f x %.0f mm, because the whole picture is kept and has another shape: bars of %s are %.0f mm too long on one side",
			p.Size.Name, p.Print.WidthMM, p.Print.HeightMM, p.Size.Name, short)
	}
}

var captionLetters = caution.New("caption-letters", caution.NeedsYou,
	"Take these letters out of the picture's name or title, or out of the caption, or give a caption_font that has them, and drop it again.")

// cautionOfCaption says which letters of the caption would be boxes.
func (p *Plan) cautionOfCaption(face *caption.Face) {
	text := p.Paper.Layout.Options.Caption
	if p.Paper.Raster.Caption == nil {
		return
	}
	if missing := face.Missing(text); missing != "" {
		p.caution(captionLetters, "the caption %q has letters that its face lacks, and boxes are printed in place of %s", text, missing)
	}
}

// captionText fills in the placeholders of a caption. The file name has no extension. A
// picture without a title has its file name.
func (p *Plan) captionText(o Order, number int) string {
	return strings.NewReplacer("{name}", o.Caption.Name, "{size}", p.Size.Name, "{stock}", o.Stock, "{date}", o.Caption.Date, config.EditionPlace, o.editionText(number),
		"{title}", cmp.Or(p.info.Words.Title, o.Caption.Name), "{artist}", p.info.Artist()).Replace(o.Settings.Caption)
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
	r := &Refusal{Hold: *tooLargeForPaper.Say("%s is %s for the printable area of %s", p.withAround(l), strings.Join(over, " and "), nearestOf(l.Media, o.Media))}
	if l.Largest != nil && l.Largest.WidthMM > 0 {
		r.WidthMM, r.HeightMM = l.Largest.WidthMM, l.Largest.HeightMM
		r.Text += fmt.Sprintf("; the largest of this shape that fits is %.0f x %.0f mm", r.WidthMM, r.HeightMM)
	}
	return r
}

// withAround names the print by its size, with its sides if those differ, and with what is
// around it.
func (p *Plan) withAround(l sheet.Layout) string {
	text := p.Size.Name
	if math.Abs(p.Print.WidthMM-p.Size.WidthMM) >= 1 || math.Abs(p.Print.HeightMM-p.Size.HeightMM) >= 1 {
		text += fmt.Sprintf(" (%.0f x %.0f mm)", p.Print.WidthMM, p.Print.HeightMM)
	}
	if l.Whole() != l.Picture {
		text += " with what lies around it"
	}
	return text
}

// nearestOf names a media, and says that it comes nearest if there are several.
func nearestOf(name string, media []sheet.Media) string {
	if len(media) < 2 {
		return name
	}
	var names []string
	for _, m := range media {
		names = append(names, m.Name)
	}
	return name + ", which comes nearest of " + plural.List(names, "and")
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
		if p.Font != nil {
			paper.Caption.Font = p.Font.SHA256
		}
	}
	return paper
}
