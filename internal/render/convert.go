package render

// convert takes the print's rows to the values of the profile it will carry.
func convert(r *Renderer, b *band) {
	if r.toOutput == nil {
		return
	}
	n := (b.bottom - b.top) * b.print.width
	b.inked.shape(r.inks, b.top, b.bottom-b.top, b.print.width)
	from := (b.top - b.print.top) * b.print.width
	src, dst := make([][]float32, r.channels), make([][]float32, r.inks)
	for c := range src {
		src[c] = b.print.plane[c][from : from+n]
	}
	for c := range dst {
		dst[c] = b.inked.plane[c]
	}
	r.toOutput.Apply(dst, src, n)
}

// finished is the block that holds the band's final values.
func (r *Renderer) finished(b *band) *block {
	if r.toOutput == nil {
		return &b.print
	}
	return &b.inked
}
