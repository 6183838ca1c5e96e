package vector

// WeightedSum sets dst[i] to the sum over k of w[k]*rows[k][i], in ascending k. The sum
// starts with the first product; without rows it is 0. It resamples or blurs down the
// columns. It blurs across if each row is the same line, starting one sample later.
//
// n is len(dst); each row must have at least n samples, and w at least len(rows)
// weights. dst must not overlap a row; rows may overlap.
func WeightedSum(dst []float32, rows [][]float32, w []float32) {
	checkLen("WeightedSum", "w", len(w), len(rows))
	for _, row := range rows {
		checkLen("WeightedSum", "a row", len(row), len(dst))
	}
	weightedSumPlain(dst, rows, w, weightedSumWide(dst, rows, w))
}

// weightedSumPlain computes dst[from:].
func weightedSumPlain(dst []float32, rows [][]float32, w []float32, from int) {
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
