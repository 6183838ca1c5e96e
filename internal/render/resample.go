package render

// across resamples every source row of the band to the print's width.
func across(r *Renderer, b *band) {
	top, bottom := r.sourceRows(b)
	b.lines.shape(r.channels, top, bottom-top, r.plan.Print.Width)
	for y := top; y < bottom; y++ {
		for c := range r.channels {
			r.x.line(b.lines.row(c, y), b.source.row(c, y), r.plan.Scale.HaloLimit)
		}
	}
}

// down resamples the lines to the print's rows, halo and all.
func down(r *Renderer, b *band) {
	top, bottom := r.printRows(b)
	b.print.shape(r.channels, top, bottom-top, r.plan.Print.Width)
	src := make([][]float32, r.y.taps)
	bound := make([][]float32, r.y.bound)
	for y := top; y < bottom; y++ {
		w := r.y.weight[y*r.y.taps : (y+1)*r.y.taps]
		for c := range r.channels {
			for k := range src {
				src[k] = b.lines.row(c, int(r.y.first[y])+k)
			}
			dst := b.print.row(c, y)
			weigh(dst, src, w)
			if r.plan.Scale.HaloLimit {
				for k := range bound {
					bound[k] = b.lines.row(c, int(r.y.near[y])+k)
				}
				limitRows(dst, bound)
			}
			clamp(dst)
		}
	}
}

// line resamples one row; see axis for the sum.
func (a *axis) line(dst, src []float32, limit bool) {
	if a.taps == 6 {
		a.line6(dst, src)
	} else {
		a.lineSlow(dst, src)
	}
	if limit {
		a.limitLine(dst, src)
	}
}

// lineSlow is the sum as it is written.
func (a *axis) lineSlow(dst, src []float32) {
	for i := range dst {
		var sum float32
		s := src[a.first[i]:][:a.taps]
		for k, w := range a.weight[i*a.taps : (i+1)*a.taps] {
			sum += w * s[k]
		}
		dst[i] = sum
	}
}

// line6 is lineSlow for the six taps of an enlargement.
func (a *axis) line6(dst, src []float32) {
	weight := a.weight
	for i, f := range a.first[:len(dst)] {
		s := (*[6]float32)(src[f:])
		w := (*[6]float32)(weight[6*i:])
		sum := w[0] * s[0]
		sum += w[1] * s[1]
		sum += w[2] * s[2]
		sum += w[3] * s[3]
		sum += w[4] * s[4]
		sum += w[5] * s[5]
		dst[i] = sum
	}
}

// limitLine keeps each result between the least and greatest of its nearest
// source samples: a halo is what lies outside them.
func (a *axis) limitLine(dst, src []float32) {
	if a.bound != near {
		for i, f := range a.near[:len(dst)] {
			lo, hi := src[f], src[f]
			for _, v := range src[f:][:a.bound] {
				lo, hi = min(lo, v), max(hi, v)
			}
			dst[i] = min(max(dst[i], lo), hi)
		}
		return
	}
	for i, f := range a.near[:len(dst)] {
		s := (*[near]float32)(src[f:])
		dst[i] = within(dst[i], s[0], s[1], s[2], s[3])
	}
}

// within takes v to the nearer end of the range of a, b, c and d, if outside.
func within(v, a, b, c, d float32) float32 {
	lo, hi := min(a, b, c, d), max(a, b, c, d)
	return min(max(v, lo), hi)
}

// weigh sets dst to the weighted sum of the rows.
func weigh(dst []float32, rows [][]float32, w []float32) {
	if len(rows) == 6 {
		weigh6(dst, rows, w)
		return
	}
	clear(dst)
	for k, row := range rows {
		f := w[k]
		row = row[:len(dst)]
		for i, v := range row {
			dst[i] += f * v
		}
	}
}

// weigh6 is weigh for six rows: the same sums in the same order.
func weigh6(dst []float32, rows [][]float32, w []float32) {
	n := len(dst)
	r0, r1, r2 := rows[0][:n], rows[1][:n], rows[2][:n]
	r3, r4, r5 := rows[3][:n], rows[4][:n], rows[5][:n]
	w0, w1, w2, w3, w4, w5 := w[0], w[1], w[2], w[3], w[4], w[5]
	for i := range dst {
		sum := w0 * r0[i]
		sum += w1 * r1[i]
		sum += w2 * r2[i]
		sum += w3 * r3[i]
		sum += w4 * r4[i]
		sum += w5 * r5[i]
		dst[i] = sum
	}
}

// limitRows is limitLine down the columns.
func limitRows(dst []float32, rows [][]float32) {
	n := len(dst)
	if len(rows) != near {
		for i := range dst {
			lo, hi := rows[0][i], rows[0][i]
			for _, row := range rows[1:] {
				lo, hi = min(lo, row[i]), max(hi, row[i])
			}
			dst[i] = min(max(dst[i], lo), hi)
		}
		return
	}
	r0, r1, r2, r3 := rows[0][:n], rows[1][:n], rows[2][:n], rows[3][:n]
	for i, v := range dst {
		dst[i] = within(v, r0[i], r1[i], r2[i], r3[i])
	}
}

func clamp(v []float32) {
	for i, x := range v {
		v[i] = min(max(x, 0), 1)
	}
}
