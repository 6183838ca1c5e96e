package detail

import (
	"cmp"
	"slices"
)

// reading is one quantity read twice at one place, from halves that share no
// noise.
type reading struct{ a, b float64 }

// least returns what the quantity is at the places where it is least: the
// given share of them, and no fewer than few. The places are picked by one
// half and the median taken of the other, so that the picking adds no bias;
// the mean of doing so both ways is returned. It is false if there are fewer
// than few places. The readings are put in another order.
func least(r []reading, share float64, few int) (float64, bool) {
	if len(r) < few {
		return 0, false
	}
	n := max(few, int(share*float64(len(r))))
	b := medianOther(r, n)
	for i := range r {
		r[i].a, r[i].b = r[i].b, r[i].a
	}
	return (b + medianOther(r, n)) / 2, true
}

// medianOther is the median of b over the n readings whose a is least.
func medianOther(r []reading, n int) float64 {
	slices.SortFunc(r, func(p, q reading) int {
		return cmp.Or(cmp.Compare(p.a, q.a), cmp.Compare(p.b, q.b))
	})
	b := make([]float64, n)
	for i := range b {
		b[i] = r[i].b
	}
	slices.Sort(b)
	return (b[(n-1)/2] + b[n/2]) / 2
}
