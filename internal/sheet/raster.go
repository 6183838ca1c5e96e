package sheet

import (
	"math"

	"sizewright/internal/printsize"
)

// PixelRect is a rectangle of whole pixels.
type PixelRect struct {
	X      int `json:"x_px"`
	Y      int `json:"y_px"`
	Width  int `json:"width_px"`
	Height int `json:"height_px"`
}

// Right is the first column to the right of the rectangle.
func (r PixelRect) Right() int { return r.X + r.Width }

// Bottom is the first row below the rectangle.
func (r PixelRect) Bottom() int { return r.Y + r.Height }

// Raster is a layout in whole pixels, in the layout's frame. Each pixel belongs to
// Picture, otherwise to a strip, a mark or the caption, otherwise it is white.
type Raster struct {
	PPI       float64     `json:"ppi"`
	Width     int         `json:"width_px"` // of the sheet
	Height    int         `json:"height_px"`
	Printable PixelRect   `json:"printable"`
	Outer     PixelRect   `json:"outer"`
	Ink       PixelRect   `json:"ink"`
	Picture   PixelRect   `json:"picture"`
	Strips    []PixelRect `json:"strips,omitempty"` // wrap and bleed: the ink without the picture; see [BleedWay.Inside]
	Opening   *PixelRect  `json:"opening,omitempty"`
	Caption   *PixelRect  `json:"caption,omitempty"`
	Marks     []PixelRect `json:"marks,omitempty"`
}

// markWidthMM is the width of a mark's line: about a quarter point, the usual width in
// printing (common practice, no source).
const markWidthMM = 0.1

// Pixels returns the layout at a resolution, for an upright picture with exactly that
// many pixels. The picture keeps its pixels; they must match the picture of the layout
// to a pixel.
//
// Everything else is measured from the picture's edges: its distance from the nearest
// edge is right to half a pixel, and equal lengths become equal numbers of pixels, so
// that rectangles meet and an even border is even. A length is right to a pixel, which is
// 0.1 mm from 254 ppi on, and the sheet to half a pixel. A layout that does not fit is
// cut at the sheet's edge; one with problems has no pixels.
func (l Layout) Pixels(ppi float64, pictureWidthPX, pictureHeightPX int) Raster {
	if len(l.Problems) > 0 {
		return Raster{PPI: ppi}
	}
	w, h := pictureWidthPX, pictureHeightPX
	if l.Turned && l.LeadingEdge == "top" {
		w, h = h, w
	}
	s := scaling{
		x: newAxis(l.Picture.X, l.Picture.Width, l.Sheet.Width, w, ppi),
		y: newAxis(l.Picture.Y, l.Picture.Height, l.Sheet.Height, h, ppi),
	}
	r := Raster{
		PPI: ppi, Width: s.x.size, Height: s.y.size,
		Printable: s.rect(l.Printable), Outer: s.rect(l.Outer), Ink: s.rect(l.Ink), Picture: s.rect(l.Picture),
		Opening: maybe(l.Opening, s.rect), Caption: maybe(l.Caption, s.rect),
	}
	r.Strips = around(r.Picture, r.Ink)
	thick := max(1, int(math.Round(markWidthMM*ppi/printsize.MMPerInch)))
	for _, m := range l.Marks {
		r.Marks = append(r.Marks, s.mark(m.Segment, thick))
	}
	return r
}

// An axis converts millimetres of one direction to pixels, from 0 to size. The picture's
// two edges fall where its own pixels begin and end.
type axis struct {
	low, high   float64 // the picture's edges, in mm
	first, last int     // and in pixels
	end         float64 // the sheet's, in mm
	size        int
	perMM       float64
}

func newAxis(at, length, sheet float64, px int, ppi float64) axis {
	k := ppi / printsize.MMPerInch
	first := int(math.Round(at * k))
	return axis{at, at + length, first, first + px, sheet, int(math.Round(sheet * k)), k}
}

// edge returns the first pixel beyond an edge at v. It never falls as v grows.
func (a axis) edge(v float64) int {
	px := 0
	switch {
	case v >= a.end-hair:
		px = a.size
	case v <= a.low+hair:
		px = a.first - a.pixels(a.low-v)
	case v >= a.high-hair:
		px = a.last + a.pixels(v-a.high)
	default:
		px = a.first + int(math.Round((v-a.low)/(a.high-a.low)*float64(a.last-a.first)))
	}
	return min(max(px, 0), a.size)
}

func (a axis) pixels(mm float64) int { return int(math.Round(tidy(mm) * a.perMM)) }

// line returns the pixels of a line along v. The line is outside the picture, so that its
// inner side is the edge itself.
func (a axis) line(v float64, thick int) (at, width int) {
	at = a.edge(v)
	if v < (a.low+a.high)/2 {
		at -= thick
	}
	first, last := max(at, 0), min(at+thick, a.size)
	return first, max(0, last-first)
}

type scaling struct{ x, y axis }

func (s scaling) rect(r Rect) PixelRect {
	x, y := s.x.edge(r.X), s.y.edge(r.Y)
	return PixelRect{x, y, s.x.edge(r.Right()) - x, s.y.edge(r.Bottom()) - y}
}

func (s scaling) mark(m Segment, thick int) PixelRect {
	r := s.rect(m.bounds())
	if m.X1 == m.X2 {
		r.X, r.Width = s.x.line(m.X1, thick)
	} else {
		r.Y, r.Height = s.y.line(m.Y1, thick)
	}
	return r
}

// around returns the parts of outer that inner leaves: up to four sides and four corners,
// row by row.
func around(inner, outer PixelRect) []PixelRect {
	xs := []int{outer.X, inner.X, inner.Right(), outer.Right()}
	ys := []int{outer.Y, inner.Y, inner.Bottom(), outer.Bottom()}
	var all []PixelRect
	for j := range 3 {
		for i := range 3 {
			r := PixelRect{xs[i], ys[j], xs[i+1] - xs[i], ys[j+1] - ys[j]}
			if r.Width > 0 && r.Height > 0 && (i != 1 || j != 1) {
				all = append(all, r)
			}
		}
	}
	return all
}
