package vector

// Lookup applies a curve to dst in place, after clamping each value to 0..1. table
// holds the curve at even steps, from 0 at its first value to 1 at its last; Lookup
// interpolates linearly. It panics if the table has fewer than two values.
func Lookup(dst, table []float32) {
	checkLen("Lookup", "table", len(table), 2)
	lookupPlain(dst[lookupWide(dst, table):], table)
}

func lookupPlain(dst, table []float32) {
	steps, last := float32(len(table)-1), int32(len(table)-2)
	for i, v := range dst {
		x := float32(min(max(v, 0), 1) * steps)
		step := min(int32(x), last)
		a := table[step]
		dst[i] = a + float32((x-float32(step))*(table[step+1]-a))
	}
}
