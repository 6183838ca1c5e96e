package render

import (
	"fmt"
	"image"
	"io"

	"sizewright/internal/caption"
	"sizewright/internal/photo"
	"sizewright/internal/plural"
	"sizewright/internal/printsize"
	"sizewright/internal/tiff"
)

// Strip is a test strip: cut-outs of a print at its true scale, side by side on one
// small sheet, so that a judgement costs that sheet and not the print. Rows are
// places, columns are variants: sharpening amounts, or sizes.
type Strip struct {
	WidthMM  float64     `json:"width_mm"` // of the sheet
	HeightMM float64     `json:"height_mm"`
	PPI      float64     `json:"ppi"`
	CellMM   float64     `json:"cell_mm"` // side of a cut-out
	Cells    []StripCell `json:"cells"`
}

// StripCell is one cut-out.
type StripCell struct {
	Label   string  `json:"label"`
	Place   string  `json:"place"` // why it was chosen
	Size    string  `json:"size"`
	Sharpen float64 `json:"output_sharpening"` // the setting
	X       int     `json:"x_px"`              // of its corner in that print
	Y       int     `json:"y_px"`
	AtX     int     `json:"at_x_px"` // of its corner on the sheet
	AtY     int     `json:"at_y_px"`
	Side    int     `json:"side_px"`

	order Order
}

const (
	stripMarginMM = 12.0 // a printer's widest usual margin but the trailing (common practice, no source)
	stripGapMM    = 5.0
	stripLabelMM  = 3.0
)

// Variant is a column of a strip: an order for the picture, and what to call it.
type Variant struct {
	Label string
	Order Order
}

// NewStrip lays out a strip of so many places and variants on a sheet. Cells are as
// large as the sheet has room for, and no larger than a print is.
func NewStrip(info *photo.Info, sheet printsize.Size, places []Place, variants []Variant) (*Strip, error) {
	wide := len(variants) > len(places)
	w, h := sheet.Fit(wide)
	ppi := variants[0].Order.Settings.PPI
	cell := min((w-2*stripMarginMM-float64(stripGapMM*float64(len(variants)-1)))/float64(len(variants)),
		(h-2*stripMarginMM-float64((stripGapMM+stripLabelMM)*float64(len(places))))/float64(len(places)))
	if cell < 10 {
		return nil, fmt.Errorf("%s in %s leave %.0f mm for each on %s: ask for fewer, or for a larger sheet", plural.Count(len(places), "place", "places"), plural.Count(len(variants), "column", "columns"), cell, sheet.Name)
	}
	s := &Strip{WidthMM: w, HeightMM: h, PPI: ppi, CellMM: round(cell, 2)}
	for row, place := range places {
		for column, v := range variants {
			s.Cells = append(s.Cells, s.cell(info, place, v, row, column))
		}
	}
	return s, nil
}

func (s *Strip) px(mm float64) int { return int(mm*s.PPI/printsize.MMPerInch + 0.5) }

func (s *Strip) cell(info *photo.Info, place Place, v Variant, row, column int) StripCell {
	p := NewPlan(info, v.Order)
	x, y, side := p.cutOut(place, s.px(s.CellMM))
	return StripCell{
		Label: place.Name + ", " + v.Label, Place: place.Why, Size: p.Size.Name, Sharpen: v.Order.Settings.OutputSharpening,
		X: x, Y: y,
		AtX: s.px(stripMarginMM + float64(float64(column)*(s.CellMM+stripGapMM))), AtY: s.px(stripMarginMM + float64(float64(row)*(s.CellMM+stripGapMM+stripLabelMM))),
		Side: side, order: v.Order,
	}
}

// WriteTIFF makes the strip and writes it to w, in the colours the prints would have.
// measured is of this picture. The sheet is whole in memory.
func (s *Strip) WriteTIFF(w io.WriteSeeker, src *photo.Photo, measured Measured) error {
	var sheet *canvasOf
	renderers := map[string]*Renderer{}
	for _, c := range s.Cells {
		key := fmt.Sprint(c.Size, c.Sharpen)
		r := renderers[key]
		if r == nil {
			o := c.order
			o.Media = nil
			p := NewPlan(&src.Info, o).WithMeasurement(measured, o)
			p.Refusal = nil // a strip is there to see what a size would be like
			var err error
			if r, err = New(p, src, o); err != nil {
				return err
			}
			renderers[key] = r
		}
		if sheet == nil {
			sheet = newCanvasOf(s, r)
		}
		if err := sheet.put(c, r); err != nil {
			return err
		}
	}
	return sheet.write(w)
}

// canvasOf is a strip's sheet in memory.
type canvasOf struct {
	strip         *Strip
	r             *Renderer // whose colours it has
	width, height int
	pix           []uint16
}

func newCanvasOf(s *Strip, r *Renderer) *canvasOf {
	c := &canvasOf{strip: s, r: r, width: s.px(s.WidthMM), height: s.px(s.HeightMM)}
	c.pix = make([]uint16, c.width*c.height*r.inks)
	whiten(c.pix, r.inks)
	return c
}

// put sets a cut-out and its label.
func (c *canvasOf) put(cell StripCell, r *Renderer) error {
	n := r.inks
	pix := r.Region(cell.X, cell.Y, cell.Side, cell.Side)
	for y := range cell.Side {
		copy(c.pix[((cell.AtY+y)*c.width+cell.AtX)*n:], pix[y*cell.Side*n:(y+1)*cell.Side*n])
	}
	label, err := caption.Line(cell.Label, c.strip.px(stripLabelMM), c.strip.px(c.strip.CellMM))
	if err != nil {
		return err
	}
	below := canvas{width: c.width, caption: label, captionAt: image.Pt(cell.AtX, cell.AtY+cell.Side+c.strip.px(0.5))}
	for y := below.captionAt.Y; y < below.captionAt.Y+label.Rect.Dy() && y < c.height; y++ {
		writeCaption(c.pix[y*c.width*n:][:c.width*n], &below, y, n)
	}
	return nil
}

func (c *canvasOf) write(w io.WriteSeeker) error {
	h, err := c.r.plan.Header(&c.r.src.Info, c.r.order)
	if err != nil {
		return err
	}
	h.Width, h.Height, h.Bits, h.RowsPerStrip = c.width, c.height, 16, 64
	tw, err := tiff.NewWriter(w, h)
	if err != nil {
		return err
	}
	enc := h.NewEncoder()
	for i := range h.Strips() {
		rows := h.StripRows(i)
		from := i * 64 * c.width * c.r.inks
		out, err := enc.Strip16(nil, c.pix[from:from+rows*c.width*c.r.inks], rows)
		if err != nil {
			return err
		}
		if err := tw.WriteStrip(out); err != nil {
			return err
		}
	}
	return tw.Close()
}
