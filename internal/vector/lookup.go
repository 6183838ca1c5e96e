package vector

// Lookup takes each value of dst, held to 0..1, through a curve that table gives
// at even steps, from 0 at its first to 1 at its last; in between it is a straight
// line. In place. It panics if the table has fewer than two values.
func Lookup(dst, table []float32) {
	enough("Lookup", "table", len(table), 2)
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
