package render

import (
	"fmt"
	"strings"

	"sizewright/internal/photo"
	"sizewright/internal/sheet"
)

// Paper is where the print lies on its sheet or roll, in millimetres and in pixels.
type Paper struct {
	Layout sheet.Layout `json:"layout"`
	Raster sheet.Raster `json:"raster"`
}

// paper lays the print on the first of the order's media that it fits. A print that
// fits none is refused, with the largest that would.
func (p *Plan) paper(o Order) {
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
	p.Paper = &Paper{Layout: layout, Raster: layout.Pixels(p.Print.PPI, p.Print.Width, p.Print.Height)}
	for _, note := range layout.Cautions {
		if layout.Fits {
			p.Cautions = append(p.Cautions, photo.Caution{Code: note.Code, Text: note.Text})
		}
	}
	if !layout.Fits && p.Refusal == nil {
		p.Refusal = tooLarge(p, layout, o)
	}
}

// captionText fills in a caption's words. A name's extension is left out.
func (p *Plan) captionText(text string, o Order) string {
	return strings.NewReplacer("{name}", o.Caption.Name, "{size}", p.Size.Name, "{stock}", o.Stock, "{date}", o.Caption.Date).Replace(text)
}

// CaptionWords are what a caption may tell that no plan knows by itself.
type CaptionWords struct {
	Name string // of the picture
	Date string
}

func tooLarge(p *Plan, l sheet.Layout, o Order) *Refusal {
	r := &Refusal{Code: "too-large-for-paper"}
	if len(l.Problems) > 0 {
		r.Text = fmt.Sprintf("cannot be laid on %s: %s", l.Media, l.Problems[0].Text)
		return r
	}
	var over []string
	if l.TooWideMM > 0 {
		over = append(over, fmt.Sprintf("%.1f mm too wide", l.TooWideMM))
	}
	if l.TooHighMM > 0 {
		over = append(over, fmt.Sprintf("%.1f mm too high", l.TooHighMM))
	}
	r.Text = fmt.Sprintf("%s on %s is %s for what the printer can print on", p.Size.Name, mediaWords(o), strings.Join(over, " and "))
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

// extent is the raster of the file: of the sheet, or of the picture alone.
func (p *Plan) extent() (width, height int) {
	if p.Paper == nil {
		return p.Print.Width, p.Print.Height
	}
	return p.Paper.Raster.Width, p.Paper.Raster.Height
}
