package render

// grid is a rectangle of one plane of float32 values, at its position in the raster:
// rows from top on, columns from left on. Columns before 0 or beyond the raster's width
// are a margin that repeats the edge. The memory is reused.
type grid struct {
	top, left, rows, cols int
	pix                   []float32
}

// shape gives the grid the rows [top, bottom) and columns [left, right). Its values are
// undefined afterwards.
func (g *grid) shape(top, left, bottom, right int) {
	g.top, g.left, g.rows, g.cols = top, left, bottom-top, right-left
	g.pix = grow(g.pix, g.rows*g.cols)
}

func grow[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

// row returns row y of the raster, with its margins.
func (g *grid) row(y int) []float32 {
	i := (y - g.top) * g.cols
	return g.pix[i : i+g.cols : i+g.cols]
}

// span returns columns [left, right) of row y.
func (g *grid) span(y, left, right int) []float32 {
	return g.row(y)[left-g.left : right-g.left : right-g.left]
}

// extend fills the margins of every row with the values at columns first and last-1,
// the outermost of the raster.
func (g *grid) extend(first, last int) {
	for y := g.top; y < g.top+g.rows; y++ {
		row := g.row(y)
		level(row[:max(0, first-g.left)], row, first-g.left)
		level(row[min(last-g.left, g.cols):], row, last-1-g.left)
	}
}

func level(margin, row []float32, at int) {
	for i := range margin {
		margin[i] = row[at]
	}
}
