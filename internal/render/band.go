package render

// block is a run of whole rows of planar float32 pixels, each plane
// rows x width values, row by row. Its memory is kept from band to band.
type block struct {
	top, rows, width int // the first row's place in its raster
	plane            [4][]float32
}

// shape gives the block its extent, its values being undefined after it.
func (b *block) shape(channels, top, rows, width int) {
	b.top, b.rows, b.width = top, rows, width
	for c := range channels {
		b.plane[c] = grow(b.plane[c], rows*width)
	}
}

func grow[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

// row is row y of the raster, which the block must hold.
func (b *block) row(c, y int) []float32 {
	i := (y - b.top) * b.width
	return b.plane[c][i : i+b.width : i+b.width]
}

// band is one band of the print on its road, and the memory a worker carries
// from band to band.
type band struct {
	top, bottom int   // print rows [top, bottom)
	source      block // source rows
	lines       block // source rows, resampled across
	print       block // print rows, with the halo of the sharpening
	inked       block // the band's rows alone, converted to the print's profile

	extra [4][]float32 // the channels of inked that print has none of

	ink     [4][]float32 // one row of CMYK on its way to RGB
	luma    []float32
	blurred []float32
}

// halo is how many print rows beyond the band the output sharpening reads.
func (r *Renderer) halo() int {
	if !r.plan.OutputSharpening.Applied {
		return 0
	}
	return len(r.outputBlur) - 1
}

// printRows is the band with its halo, within the print.
func (r *Renderer) printRows(b *band) (top, bottom int) {
	h := r.halo()
	return max(0, b.top-h), min(r.plan.Print.Height, b.bottom+h)
}

// sourceRows is what the resampling of those print rows reads.
func (r *Renderer) sourceRows(b *band) (top, bottom int) {
	return r.y.needs(r.printRows(b))
}

// read fetches the source rows and the halo of the pre-sharpening, as RGB or
// grey.
func read(r *Renderer, b *band) {
	top, bottom := r.sourceRows(b)
	if r.plan.PreSharpening.Applied {
		h := len(r.preBlur) - 1
		top, bottom = max(0, top-h), min(r.src.Height, bottom+h)
	}
	b.source.shape(r.channels, top, bottom-top, r.src.Width)
	for y := top; y < bottom; y++ {
		rows := b.rows(&b.source, y, r.channels)
		if r.toRGB == nil {
			r.src.Row(y, rows)
			continue
		}
		ink := make([][]float32, len(b.ink))
		for c := range b.ink {
			b.ink[c] = grow(b.ink[c], r.src.Width)
			ink[c] = b.ink[c]
		}
		r.src.Row(y, ink)
		r.toRGB.Apply(rows, ink, r.src.Width)
	}
}

// rows are all channels of row y of a block.
func (b *band) rows(from *block, y, channels int) [][]float32 {
	rows := make([][]float32, channels)
	for c := range rows {
		rows[c] = from.row(c, y)
	}
	return rows
}
