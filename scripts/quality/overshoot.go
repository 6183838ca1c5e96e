package main

import "slices"

// edge is a pixel at an edge, with the range of luma around it.
type edge struct {
	at       int
	low, top float32
}

// edgeRange is how much luma must vary around a pixel for it to be at an edge: a fifth of
// full scale (house judgement).
const edgeRange = 0.2

// edgesOf returns the measured pixels with an edge in the (2s+1) x (2s+1) pixels around
// them.
func edgesOf(y []float32, area window, s int) []edge {
	low, top := extremes(y, area.width, s)
	var edges []edge
	area.rows(func(from, to int) {
		for i := from; i < to; i++ {
			if top[i]-low[i] >= edgeRange {
				edges = append(edges, edge{i, low[i], top[i]})
			}
		}
	})
	return edges
}

// overshoot returns how far luma y lies outside the range of the reference in the (2s+1) x
// (2s+1) pixels around, in per cent of full scale: the mean over all pixels at edges,
// including those without any, and the 99.9th percentile. An enlargement whose lines keep
// their position and height has none, so this measures halos and ringing but not sharpness.
func overshoot(edges []edge, y []float32) (mean, p999 float64) {
	if len(edges) == 0 {
		return 0, 0
	}
	beyond := make([]float64, len(edges))
	for i, e := range edges {
		v := y[e.at]
		beyond[i] = 100 * float64(max(0, v-e.top, e.low-v))
		mean += beyond[i] / float64(len(edges))
	}
	slices.Sort(beyond)
	return mean, beyond[999*(len(beyond)-1)/1000]
}

// extremes returns the least and the greatest of the (2s+1) x (2s+1) samples around each,
// first along rows and then along columns. The picture's edges are repeated.
func extremes(y []float32, width, s int) (low, top []float32) {
	height := len(y) / width
	low, top = slices.Clone(y), slices.Clone(y)
	widen := func(dst, src []float32, pick func(float32, float32) float32, at func(x, y, d int) int) {
		for i := range dst {
			for d := -s; d <= s; d++ {
				dst[i] = pick(dst[i], src[at(i%width, i/width, d)])
			}
		}
	}
	row := func(x, y, d int) int { return y*width + min(max(x+d, 0), width-1) }
	column := func(x, y, d int) int { return min(max(y+d, 0), height-1)*width + x }
	lesser := func(a, b float32) float32 { return min(a, b) }
	greater := func(a, b float32) float32 { return max(a, b) }
	widen(low, y, lesser, row)
	widen(top, y, greater, row)
	widen(low, slices.Clone(low), lesser, column)
	widen(top, slices.Clone(top), greater, column)
	return low, top
}
