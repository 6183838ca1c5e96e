package render

import "sizewright/internal/vector"

// band is one band of the print in work, cut into tiles, with the memory that a worker
// keeps from band to band.
//
// While pixels are scaled and sharpened, plane 0 is luma and planes 1 and 2 are
// the differences R-Y and B-Y, all of encoded values; a reduction has R, G and B
// in linear light until it has averaged them. Grey has plane 0 alone.
type band struct {
	from, to    int    // rows [from, to) of the canvas
	top, bottom int    // rows [top, bottom) of the print on those
	window      [2]int // print columns of all tiles
	left, right int    // print columns of the current tile

	source [3]grid // whole source rows, with the margins of the kernels
	lines  [3]grid // those rows at the print's columns
	print  [3]grid // print rows and columns; plane 0 with the halo of the sharpening
	low    grid    // bounds of plane 0: rows of cells at the print's columns
	high   grid    // see haloBounds
	sharp  grid    // plane 0 of the tile alone, sharpened
	inked  [4]grid // further channels of the print

	predicted grid      // what a network adds to luma: rows of its own grid, whole
	predictX  grid      // those rows at the print's columns
	missing   []float32 // a row of the print's

	cellLow   []float32 // bounds of a row of cells, in columns of the source
	cellHigh  []float32
	crisp     grid         // the source's luma, pre-sharpened
	ink       [4][]float32 // one row of CMYK, to be converted to RGB
	blur      blurrer
	done, raw [4][]float32 // current rows
	grain     grainer
}

// tileColumns is the width of a tile. It is small enough that a tile's data stays in a
// core's own cache between steps, and not a power of two, so that rows do not compete
// for the same cache lines.
const tileColumns = 496

// halo returns how many print pixels beyond the tile the sharpening reads.
func (r *Renderer) halo() int {
	reach := 0
	for _, m := range r.masks {
		reach = max(reach, m.blur.reach())
	}
	return reach
}

// haloOf returns the halo of one plane. The differences are not sharpened, but a
// reduction computes luma from all three planes.
func (r *Renderer) haloOf(plane int) int {
	if plane > 0 && r.tone == nil {
		return 0
	}
	return r.halo()
}

// printRows returns the rows of a plane that the band needs, within the print.
func (r *Renderer) printRows(b *band, plane int) (top, bottom int) {
	h := r.haloOf(plane)
	return max(0, b.top-h), min(r.recipe.Print.Height, b.bottom+h)
}

// haloColumns returns the halo at the sides, rounded up for the wide loops.
func (r *Renderer) haloColumns(plane int) int { return (r.haloOf(plane) + 7) &^ 7 }

// printColumns returns the columns of a plane that the tile needs, within the print.
func (r *Renderer) printColumns(b *band, plane int) (left, right int) {
	h := r.haloColumns(plane)
	return max(0, b.left-h), min(r.recipe.Print.Width, b.right+h)
}

// sourceRows returns the source rows that the resampling of the band and its halo limit
// read.
func (r *Renderer) sourceRows(b *band, plane int) (top, bottom int) {
	top, bottom = r.y[plane].needs(r.printRows(b, plane))
	if plane == 0 && r.halos != nil {
		lo, hi := r.halos.sourceRows(r.printRows(b, 0))
		top, bottom = min(top, lo), max(bottom, hi)
	}
	return top, bottom
}

// read reads the source rows and the halo of the pre-sharpening.
func read(r *Renderer, b *band) {
	for c := range r.channels {
		top, bottom := r.sourceRows(b, c)
		if c == 0 || !r.apart {
			top, bottom = r.sourceRows(b, 0)
			h := r.preBlurTwice.reach()
			top, bottom = max(0, top-h), min(r.grids[0].Height, bottom+h)
		}
		w := r.grids[c].Width
		b.source[c].shape(top, -r.margin, bottom, w+r.margin)
		for y := top; r.apart && y < bottom; y++ {
			r.src.YCCRow(c, y, b.source[c].span(y, 0, w))
		}
	}
	for y := b.source[0].top; !r.apart && y < b.source[0].top+b.source[0].rows; y++ {
		for c := range r.channels {
			b.raw[c] = b.source[c].span(y, 0, r.src.Width)
		}
		r.readRow(y, b.raw[:r.channels], b)
	}
	for c := range r.channels {
		b.source[c].extend(0, r.grids[c].Width)
	}
}

// readRow reads row y of the source in the form that is scaled.
func (r *Renderer) readRow(y int, rows [][]float32, b *band) {
	if r.toRGB == nil {
		r.src.Row(y, rows)
	} else {
		for c := range b.ink {
			b.ink[c] = grow(b.ink[c], r.src.Width)
		}
		r.src.Row(y, b.ink[:])
		r.toRGB.Apply(rows, b.ink[:], r.src.Width)
	}
	if r.channels == 3 && r.tone == nil {
		vector.ToYCC(rows[0], rows[1], rows[2])
	}
}
