package vector

// Weigh makes dst[i] the sum of w[k]*rows[k][i] over k, in rising k, the first
// product being the start of the sum; without rows, zero. It is a resampling
// or a blur down the columns, or, where each row is the same line begun one
// sample later, a blur across.
//
// n is len(dst); each of the len(rows) rows has n samples at least, w as many
// weights as there are rows. dst must not overlap a row; rows may overlap.
func Weigh(dst []float32, rows [][]float32, w []float32) {
	enough("Weigh", "w", len(w), len(rows))
	for _, row := range rows {
		enough("Weigh", "a row", len(row), len(dst))
	}
	weighPlain(dst, rows, w, weighWide(dst, rows, w))
}

// weighPlain makes dst[from:].
func weighPlain(dst []float32, rows [][]float32, w []float32, from int) {
	if len(rows) == 0 {
		clear(dst[from:])
		return
	}
	dst = dst[from:]
	first := rows[0][from:][:len(dst)]
	for i, v := range first {
		dst[i] = float32(w[0] * v)
	}
	for k, row := range rows[1:] {
		row, weight := row[from:][:len(dst)], w[k+1]
		for i, v := range row {
			dst[i] += float32(weight * v)
		}
	}
}
