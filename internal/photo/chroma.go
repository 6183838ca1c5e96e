package photo

// chroma writes row y of a chroma plane into dst, at the picture's own resolution: values
// from -128 to 127, interpolated linearly between sample centres and constant beyond the
// outermost. This is the only place where chroma is enlarged.
func (pl *plane) chroma(y int, dst []float32) {
	top, bottom, f := pl.rowsAround(y)
	switch {
	case pl.SubX == 1:
		chroma1(top, bottom, f, dst)
	case pl.SubX == 2:
		chroma2(top, bottom, f, pl.OffX, dst)
	default:
		pl.chromaAny(top, bottom, f, dst)
	}
}

// rowsAround returns the rows above and below the picture's row y, and the fraction of
// the way from the upper to the lower one at which y lies.
func (pl *plane) rowsAround(y int) (top, bottom []byte, f float32) {
	j, f := between(y, pl.OffY, pl.SubY, pl.Height)
	top = pl.pix[j*pl.stride:][:pl.Width]
	if f == 0 {
		return top, top, 0
	}
	return top, pl.pix[(j+1)*pl.stride:][:pl.Width], f
}

// between returns the sample before picture position x and the fraction of the way to the
// next. Beyond the first and the last of n samples it returns that sample.
func between(x, off, sub, n int) (i int, f float32) {
	// In half samples, which are whole numbers, the centre of sample i is at
	// 2*x+1 = 2*off + (2*i+1)*sub.
	d := 2*(x-off) + 1 - sub
	if d <= 0 {
		return 0, 0
	}
	i = d / (2 * sub)
	if i >= n-1 {
		return n - 1, 0
	}
	return i, float32(d%(2*sub)) / float32(2*sub)
}

// chroma1 enlarges chroma that is coarse from row to row only (4:4:0).
func chroma1(top, bottom []byte, f float32, dst []float32) {
	bottom, dst = bottom[:len(top)], dst[:len(top)]
	for x, v := range top {
		t := float32(v)
		dst[x] = t + float32(f*(float32(bottom[x])-t)) - 128
	}
}

// chroma2 enlarges chroma of half the width (4:2:2 and 4:2:0). Between two
// samples lie two pixels, a quarter and three quarters of the way.
func chroma2(top, bottom []byte, f float32, off int, dst []float32) {
	bottom = bottom[:len(top)]
	first := float32(top[0])
	last := first + float32(f*(float32(bottom[0])-first)) - 128
	x := off + 1 // of the first pixel past the centre of the first sample
	for i := range x {
		dst[i] = last
	}
	for i := 1; i < len(top) && x+1 < len(dst); i++ {
		t := float32(top[i])
		next := t + float32(f*(float32(bottom[i])-t)) - 128
		step := float32(0.25 * (next - last))
		pair := dst[x : x+2]
		pair[0], pair[1] = last+step, next-step
		last = next
		x += 2
	}
	for ; x < len(dst); x++ {
		dst[x] = last
	}
}

// chromaAny enlarges chroma of any coarseness, pixel by pixel. It is the definition that
// the quicker forms above are tested against.
func (pl *plane) chromaAny(top, bottom []byte, f float32, dst []float32) {
	at := func(i int) float32 { return float32(top[i]) + float32(f*(float32(bottom[i])-float32(top[i]))) - 128 }
	for x := range dst {
		i, g := between(x, pl.OffX, pl.SubX, pl.Width)
		dst[x] = at(i)
		if g > 0 {
			dst[x] += float32(g * (at(i+1) - at(i)))
		}
	}
}
