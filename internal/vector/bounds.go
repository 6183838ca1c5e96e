package vector

// Bounds computes the range that values between four neighbouring samples may have,
// cell by cell. Cell i lies between samples i+1 and i+2 of rows[1] and of rows[2].
// Bounds also uses the next samples in the cell's own rows and columns:
//
//	    y1  y2                rows[0], i+1 and i+2
//	x1   b   c  x1            rows[1], i to i+3
//	x2   d   e  x2            rows[2], i to i+3
//	    y1  y2                rows[3], i+1 and i+2
//
// Each of the four lines through the cell's sides (x1, x2 across and y1, y2 down) has a
// curvature m, from its four samples p q r s:
//
//	m  = minmod((p+r) - 2q, (q+s) - 2r)       0 if the signs differ, else the smaller
//	lo = min(b, c, d, e) - reach * mean of max(0, m) across + the same down
//	hi = max(b, c, d, e) - reach * mean of min(0, m) across + the same down
//
// Beside an edge the curvatures differ in sign or one is small, so a kernel's ringing
// is limited to the range of the samples. A smooth peak or trough has the same sign of
// curvature on both sides and passes. The peak of a parabola midway between two samples
// is an eighth of its curvature above them, so a reach of 1/8 is the smallest that
// never cuts one. The curvature is that of A. Suresh and H. T. Huynh, "Accurate
// monotonicity-preserving schemes with Runge-Kutta time stepping", J. Comput. Phys. 136
// (1997), who limit lines; taking the mean over a cell's sides is house judgement.
//
// Mirrored, rotated or transposed samples have the same bounds to the bit, and lo <= hi
// throughout. n is len(lo); hi must have at least n items and each row at least n+3.
// reach is 0 or more. lo and hi must not overlap a row or each other.
func Bounds(lo, hi []float32, rows *[4][]float32, reach float32) {
	checkLen("Bounds", "hi", len(hi), len(lo))
	for _, row := range rows {
		checkLen("Bounds", "a row", len(row), len(lo)+3)
	}
	half := reach / 2
	i := boundsWide(lo, hi, rows, half)
	boundsPlain(lo, hi, rows, half, i)
}

// boundsPlain computes the cells starting at from.
func boundsPlain(lo, hi []float32, rows *[4][]float32, half float32, from int) {
	hi = hi[:len(lo)]
	above, top, bottom, below := rows[0][:len(lo)+3], rows[1][:len(lo)+3], rows[2][:len(lo)+3], rows[3][:len(lo)+3]
	for i := from; i < len(lo); i++ {
		b, c, d, e := top[i+1], top[i+2], bottom[i+1], bottom[i+2]
		x1, x2 := bendOf(top[i], b, c, top[i+3]), bendOf(bottom[i], d, e, bottom[i+3])
		y1, y2 := bendOf(above[i+1], b, d, below[i+1]), bendOf(above[i+2], c, e, below[i+2])
		lo[i] = min(min(b, c), min(d, e)) - float32(half*((max(x1.lesser, 0)+max(x2.lesser, 0))+(max(y1.lesser, 0)+max(y2.lesser, 0))))
		hi[i] = max(max(b, c), max(d, e)) - float32(half*((min(x1.greater, 0)+min(x2.greater, 0))+(min(y1.greater, 0)+min(y2.greater, 0))))
	}
}

// bend holds the second differences at the two middle samples of four, as the smaller
// and the greater: max(0, minmod) is max(0, lesser), and min(0, minmod) is min(0,
// greater).
type bend struct{ lesser, greater float32 }

func bendOf(p, q, r, s float32) bend {
	d1 := (p + r) - (q + q)
	d2 := (q + s) - (r + r)
	return bend{min(d1, d2), max(d1, d2)}
}

// ClampTo clamps each dst[i] to bounds that are a weighted sum of two rows of bounds:
//
//	dst = min(max(dst, w[0]*lo[0] + w[1]*lo[1]), w[0]*hi[0] + w[1]*hi[1])
//
// n is len(dst); each row of bounds must have at least n items. The weights must not be
// negative. dst must not overlap a row of bounds.
func ClampTo(dst []float32, lo, hi [2][]float32, w [2]float32) {
	for k := range lo {
		checkLen("ClampTo", "lo", len(lo[k]), len(dst))
		checkLen("ClampTo", "hi", len(hi[k]), len(dst))
	}
	clampToPlain(dst, lo, hi, w, clampToWide(dst, lo, hi, w))
}

// clampToPlain computes dst[from:].
func clampToPlain(dst []float32, lo, hi [2][]float32, w [2]float32, from int) {
	lo0, lo1, hi0, hi1 := lo[0][:len(dst)], lo[1][:len(dst)], hi[0][:len(dst)], hi[1][:len(dst)]
	for i := from; i < len(dst); i++ {
		low := float32(w[0]*lo0[i]) + float32(w[1]*lo1[i])
		high := float32(w[0]*hi0[i]) + float32(w[1]*hi1[i])
		dst[i] = min(max(dst[i], low), high)
	}
}
