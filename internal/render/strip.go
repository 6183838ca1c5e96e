package render

import (
	"fmt"
	"image"
	"io"
	"math"

	"sizewright/internal/caption"
	"sizewright/internal/photo"
	"sizewright/internal/plural"
	"sizewright/internal/tiff"
)

// Strip is a test strip: parts of a print at its true scale, side by side on one small
// sheet, so that judging a print does not cost a whole one. Rows are places, columns are
// variants: sharpening amounts, sizes, or ways to enlarge. Above them stands the title, and below each
// cut-out what it is.
type Strip struct {
	Title        string      `json:"title"`
	WidthMM      float64     `json:"width_mm"` // of the sheet
	HeightMM     float64     `json:"height_mm"`
	PPI          float64     `json:"ppi"`
	CellWidthMM  float64     `json:"cell_width_mm"` // the room for a cut-out
	CellHeightMM float64     `json:"cell_height_mm"`
	Cells        []StripCell `json:"cells"`
}

// StripCell is one cut-out.
type StripCell struct {
	Label   string  `json:"label"`
	Place   string  `json:"place"` // why the place was chosen
	Size    string  `json:"size"`
	Sharpen float64 `json:"output_sharpening"` // the setting
	Enlarge string  `json:"enlarge"`           // the setting
	X       int     `json:"x_px"`              // of its corner in that print
	Y       int     `json:"y_px"`
	AtX     int     `json:"at_x_px"` // of its corner on the sheet
	AtY     int     `json:"at_y_px"`
	Width   int     `json:"width_px"`
	Height  int     `json:"height_px"`

	recipe   Recipe
	profiles Profiles
}

const (
	stripMarginMM = 12.0 // a printer's widest usual margin except the trailing one (common practice, no source)
	stripGapMM    = 5.0
	stripTitleMM  = 4.0
	stripLabelMM  = 3.2 // 9 pt
)

// Variant is a column of a strip: a print of the picture, and its label. All variants
// have the same ppi and output profile.
type Variant struct {
	Label    string
	Size     string  // its name
	Sharpen  float64 // the setting
	Enlarge  string  // the setting
	Recipe   Recipe  // its paper does not matter
	Profiles Profiles
}

// NewStrip lays out a strip of places and variants on a sheet of that name and size in
// mm, landscape or portrait. Cells fill the sheet, as far as the print is as large.
func NewStrip(title, sheet string, widthMM, heightMM float64, places []Place, variants []Variant) (*Strip, error) {
	n, rows := float64(len(variants)), float64(len(places))
	width := (widthMM - 2*stripMarginMM - float64(stripGapMM*(n-1))) / n
	height := (heightMM - 2*stripMarginMM - stripTitleMM - float64((stripGapMM+stripLabelMM)*rows)) / rows
	if cell := min(width, height); cell < 10 {
		return nil, fmt.Errorf("%s in %s leave %.0f mm for each on %s: choose fewer, or a larger sheet", plural.Count(len(places), "place", "places"), plural.Count(len(variants), "column", "columns"), cell, sheet)
	}
	s := &Strip{
		Title: title, WidthMM: widthMM, HeightMM: heightMM, PPI: variants[0].Recipe.Print.PPI,
		CellWidthMM: math.Round(width*100) / 100, CellHeightMM: math.Round(height*100) / 100,
	}
	for row, place := range places {
		for column, v := range variants {
			s.Cells = append(s.Cells, s.cell(place, v, row, column))
		}
	}
	return s, nil
}

const mmPerInch = 25.4

func (s *Strip) px(mm float64) int { return int(mm*s.PPI/mmPerInch + 0.5) }

func (s *Strip) cell(place Place, v Variant, row, column int) StripCell {
	x, y, width, height := v.Recipe.cutOut(place, s.px(s.CellWidthMM), s.px(s.CellHeightMM))
	c := StripCell{
		Label: place.Name + ", " + v.Label, Place: place.Why, Size: v.Size, Sharpen: v.Sharpen, Enlarge: v.Enlarge,
		X: x, Y: y,
		AtX:   s.px(stripMarginMM + float64(float64(column)*(s.CellWidthMM+stripGapMM))),
		AtY:   s.px(stripMarginMM + stripTitleMM + stripGapMM + float64(float64(row)*(s.CellHeightMM+stripGapMM+stripLabelMM))),
		Width: width, Height: height, recipe: v.Recipe, profiles: v.Profiles,
	}
	c.recipe.Paper = nil
	return c
}

// WriteTIFF makes the strip in the colours of the prints and writes it to w. It holds
// the whole sheet in memory.
func (s *Strip) WriteTIFF(w io.WriteSeeker, src *photo.Photo) error {
	var sheet *stripSheet
	renderers := map[string]*Renderer{}
	for _, c := range s.Cells {
		key := fmt.Sprint(c.Size, c.Sharpen, c.Enlarge)
		r := renderers[key]
		if r == nil {
			var err error
			if r, err = New(c.recipe, src, c.profiles); err != nil {
				return err
			}
			renderers[key] = r
		}
		if sheet == nil {
			sheet = newStripSheet(s, r)
		}
		if err := sheet.put(c, r); err != nil {
			return err
		}
	}
	at := image.Pt(s.px(stripMarginMM), s.px(stripMarginMM))
	if err := sheet.say(s.Title, at, stripTitleMM, s.WidthMM-2*stripMarginMM); err != nil {
		return err
	}
	return sheet.write(w)
}

// stripSheet is a strip's sheet in memory.
type stripSheet struct {
	strip         *Strip
	r             *Renderer // gives the sheet its colours
	width, height int
	pix           []uint16
}

func newStripSheet(s *Strip, r *Renderer) *stripSheet {
	c := &stripSheet{strip: s, r: r, width: s.px(s.WidthMM), height: s.px(s.HeightMM)}
	c.pix = make([]uint16, c.width*c.height*r.inks)
	whiten(c.pix, r.inks)
	return c
}

// put copies a part of the print onto the sheet, with its label.
func (c *stripSheet) put(cell StripCell, r *Renderer) error {
	n := r.inks
	pix := r.Region(cell.X, cell.Y, cell.Width, cell.Height)
	for y := range cell.Height {
		copy(c.pix[((cell.AtY+y)*c.width+cell.AtX)*n:], pix[y*cell.Width*n:(y+1)*cell.Width*n])
	}
	return c.say(cell.Label, image.Pt(cell.AtX, cell.AtY+cell.Height+c.strip.px(0.5)), stripLabelMM, c.strip.CellWidthMM)
}

// say writes a line of that height in at most that width, mm.
func (c *stripSheet) say(text string, at image.Point, heightMM, mostMM float64) error {
	line, err := caption.BuiltIn.Line(text, c.strip.px(heightMM), c.strip.px(mostMM))
	if err != nil {
		return err
	}
	n, below := c.r.inks, canvas{width: c.width, caption: line, captionAt: at}
	for y := below.captionAt.Y; y < below.captionAt.Y+line.Rect.Dy() && y < c.height; y++ {
		writeCaption(c.pix[y*c.width*n:][:c.width*n], &below, y, n)
	}
	return nil
}

func (c *stripSheet) write(w io.WriteSeeker) error {
	h, err := c.r.recipe.Header(&c.r.src.Info, c.r.profiles)
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
