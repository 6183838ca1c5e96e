package vector

// Limit holds each dst[i], a value between samples b[i] and c[i] of which a[i]
// and d[i] are the neighbours outwards, to what those four allow:
//
//	d1 = (a + c) - 2b, d2 = (b + d) - 2c      the bend at b and at c
//	m  = 0 if they bend differently, else the lesser of the two bends
//	lo = min(b, c) - reach * max(0, m)        a trough may go below both
//	hi = max(b, c) + reach * max(0, -m)       a crest above
//	v  = min(max(v, lo), hi)
//
// Beside an edge the bends differ or one is small, so a ringing kernel's ripple
// goes no further than the samples; a smooth crest or trough, which bends alike on
// both sides, is let through. A parabola's crest midway between two samples is an
// eighth of its bend above them, so a reach of 1/8 is the least that never cuts
// one; Suresh and Huynh allow more. After A. Suresh and H. T. Huynh, "Accurate
// monotonicity-preserving schemes with Runge-Kutta time stepping", J. Comput.
// Phys. 136 (1997), whose m is minmod(d1, d2).
//
// n is len(dst); a, b, c and d have n samples at least and may be one another
// or overlap, but not dst. reach is 0 or more; at 0 the result is within b..c.
func Limit(dst, a, b, c, d []float32, reach float32) {
	enough("Limit", "a", len(a), len(dst))
	enough("Limit", "b", len(b), len(dst))
	enough("Limit", "c", len(c), len(dst))
	enough("Limit", "d", len(d), len(dst))
	i := limitWide(dst, a, b, c, d, reach)
	limitPlain(dst[i:], a[i:], b[i:], c[i:], d[i:], reach)
}

func limitPlain(dst, a, b, c, d []float32, reach float32) {
	a, b, c, d = a[:len(dst)], b[:len(dst)], c[:len(dst)], d[:len(dst)]
	for i, v := range dst {
		dst[i] = limitOne(v, a[i], b[i], c[i], d[i], reach)
	}
}

// limitOne has max(0, minmod) as max(0, min(d1, d2)) and min(0, minmod) as
// min(0, max(d1, d2)), which they are. Turned about, d c b a for a b c d,
// it gives the same.
func limitOne(v, a, b, c, d, reach float32) float32 {
	d1 := (a + c) - (b + b)
	d2 := (b + d) - (c + c)
	lo := min(b, c) - float32(reach*max(min(d1, d2), 0))
	hi := max(b, c) - float32(reach*min(max(d1, d2), 0))
	return min(max(v, lo), hi)
}
