package render

import (
	"image"

	"sizewright/internal/caption"
	"sizewright/internal/sheet"
)

// canvas is the raster of the file: where the picture lies on it, and what is around.
type canvas struct {
	width, height int
	picture, ink  sheet.PixelRect // ink is the picture with its wrap and bleed
	way           sheet.BleedWay
	marks         []sheet.PixelRect
	caption       *image.Alpha // nil for none
	captionAt     image.Point
}

func newCanvas(r *Recipe, face *caption.Face) (canvas, error) {
	p := r.Paper
	if p == nil {
		whole := sheet.PixelRect{Width: r.Print.Width, Height: r.Print.Height}
		return canvas{width: whole.Width, height: whole.Height, picture: whole, ink: whole}, nil
	}
	c := canvas{width: p.Width, height: p.Height, picture: p.Picture, ink: p.Ink, way: p.Bleed, marks: p.Marks}
	if p.Caption == nil {
		return c, nil
	}
	at := p.Caption.Place
	line, err := face.Line(p.Caption.Text, at.Height, at.Width)
	if err != nil {
		return c, err
	}
	c.caption = line
	c.captionAt = image.Pt(at.X+(at.Width-line.Rect.Dx())/2, at.Y+(at.Height-line.Rect.Dy())/2)
	return c, nil
}

// row returns the picture's row shown at row y of the canvas. In a wrap or bleed it is
// a row from inside the picture.
func (c *canvas) row(y int) (row int, ok bool) {
	return within(y, c.picture.Y, c.picture.Bottom(), c.ink.Y, c.ink.Bottom(), c.way)
}

// column does the same for columns.
func (c *canvas) column(x int) (column int, ok bool) {
	return within(x, c.picture.X, c.picture.Right(), c.ink.X, c.ink.Right(), c.way)
}

func within(at, first, last, inkFirst, inkLast int, way sheet.BleedWay) (int, bool) {
	n := last - first
	switch {
	case at < inkFirst || at >= inkLast:
		return 0, false
	case at < first:
		return min(way.Inside(first-1-at), n-1), true
	case at >= last:
		return max(n-1-way.Inside(at-last), 0), true
	}
	return at - first, true
}

// rows returns the picture's rows [from, to) that canvas rows [top, bottom) show; from
// equals to if there are none.
func (c *canvas) rows(top, bottom int) (from, to int) {
	from = c.picture.Height
	for y := top; y < bottom; y++ {
		if row, ok := c.row(y); ok {
			from, to = min(from, row), max(to, row+1)
		}
	}
	return min(from, to), to
}

// sample is one component of a pixel in the file.
type sample interface{ uint8 | uint16 }

// paint completes canvas rows [top, bottom): the sides of wrap and bleed, marks and
// caption. pix has the picture's own columns already; all else is white.
func paint[T sample](pix []T, c *canvas, top, bottom, inks int) {
	for y := top; y < bottom; y++ {
		row := pix[(y-top)*c.width*inks:][:c.width*inks]
		if _, ok := c.row(y); ok {
			sides(row, c, inks)
		}
		for _, m := range c.marks {
			if y >= m.Y && y < m.Bottom() {
				for x := m.X; x < m.Right(); x++ {
					blacken(row[x*inks:][:inks], 255)
				}
			}
		}
		writeCaption(row, c, y, inks)
	}
}

// sides copies the picture's columns outward into wrap and bleed.
func sides[T sample](row []T, c *canvas, inks int) {
	side := func(from, to int) {
		for x := from; x < to; x++ {
			inside, _ := c.column(x)
			copy(row[x*inks:][:inks], row[(c.picture.X+inside)*inks:][:inks])
		}
	}
	side(c.ink.X, c.picture.X)
	side(c.picture.Right(), c.ink.Right())
}

func writeCaption[T sample](row []T, c *canvas, y, inks int) {
	if c.caption == nil {
		return
	}
	r := c.caption.Rect
	line := y - c.captionAt.Y
	if line < 0 || line >= r.Dy() {
		return
	}
	for i := range r.Dx() {
		if a := c.caption.AlphaAt(r.Min.X+i, r.Min.Y+line).A; a > 0 && c.captionAt.X+i < c.width {
			blacken(row[(c.captionAt.X+i)*inks:][:inks], a)
		}
	}
}

// whiten sets samples to paper white: no ink for four channels, full light otherwise.
func whiten[T sample](pix []T, inks int) {
	if inks == 4 {
		clear(pix)
		return
	}
	for i := range pix {
		pix[i] = ^T(0)
	}
}

// blacken sets a white pixel to black of the given strength, 0..255. In CMYK it uses
// black ink only.
func blacken[T sample](pixel []T, strength uint8) {
	full := uint32(^T(0))
	if len(pixel) == 4 {
		pixel[3] = T(full * uint32(strength) / 255)
		return
	}
	for i := range pixel {
		pixel[i] = T(full - full*uint32(strength)/255)
	}
}
