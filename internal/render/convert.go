package render

// stretch is how many pixels are converted at a time: few enough that they stay
// in the nearest cache beside the lattice's nodes.
const stretch = 2048

// convert takes the print's rows to the values of the profile it will carry, in
// place where they have a place.
func convert(r *Renderer, b *band) {
	if r.toOutput == nil {
		return
	}
	n := (b.bottom - b.top) * b.print.width
	from := (b.top - b.print.top) * b.print.width
	b.inked.top, b.inked.rows, b.inked.width = b.top, b.bottom-b.top, b.print.width
	for c := range r.inks {
		if c < r.channels {
			b.inked.plane[c] = b.print.plane[c][from : from+n]
			continue
		}
		b.extra[c] = grow(b.extra[c], n)
		b.inked.plane[c] = b.extra[c]
	}
	src, dst := make([][]float32, r.channels), make([][]float32, r.inks)
	for at := 0; at < n; at += stretch {
		end := min(at+stretch, n)
		for c := range src {
			src[c] = b.print.plane[c][from+at : from+end]
		}
		for c := range dst {
			dst[c] = b.inked.plane[c][at:end]
		}
		r.toOutput.Apply(dst, src, end-at)
	}
}

// finished is the block that holds the band's final values.
func (r *Renderer) finished(b *band) *block {
	if r.toOutput == nil {
		return &b.print
	}
	return &b.inked
}
