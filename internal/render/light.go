package render

// toLinear takes the source rows to linear light, when light is averaged.
func toLinear(r *Renderer, b *band) {
	if r.tone == nil {
		return
	}
	for c := range r.channels {
		r.tone.Decode(b.source.plane[c])
	}
}

// fromLinear takes the print's rows back to encoded values.
func fromLinear(r *Renderer, b *band) {
	if r.tone == nil {
		return
	}
	for c := range r.channels {
		r.tone.Encode(b.print.plane[c])
	}
}
