package render

import (
	"math"

	"sizewright/internal/vector"
)

// HaloReach is how far a result may lie beyond the four samples around it, in second
// differences. It is nothing where they are the edge of a step, whose ripple is
// ringing, and a little where they are the top of a wave or of a thin line, which may
// lie between samples. An eighth is a parabola's true height there; twice that allows
// pointed tops. See [vector.Bounds]; the reach is house judgement.
const HaloReach = 0.25

// haloBounds keeps an enlargement's luma from ringing. Each cell between four source
// samples gives bounds for results at its middle. A result elsewhere has the bounds of
// the cells around it, interpolated linearly. So bounds are continuous, also where a
// result lies exactly on a sample, between two cells, and they treat both directions and
// mirror images alike. Limiting each line across and then each line down does not, and
// costs 0.07 dB more (scripts/quality.sh).
type haloBounds struct {
	x     *axis // cell i is between samples i and i+1
	y     *axis
	lines *vector.Resampler // x, for lines that have the source's margin
}

// cells interpolates linearly between the middles of cells.
var cells = Kernel{Name: "linear", Support: 1, At: func(x float64) float64 { return max(0, 1-math.Abs(x)) }}

// newHaloBounds returns the bounds for an enlargement whose lines have that margin.
func newHaloBounds(p *Recipe, margin int) *haloBounds {
	x := newAxis(cells, p.Picture.Width, p.Crop.X-0.5, p.Crop.Width, p.Print.Width)
	y := newAxis(cells, p.Picture.Height, p.Crop.Y-0.5, p.Crop.Height, p.Print.Height)
	return &haloBounds{x, y, x.resampler(margin)}
}

// rows returns the range of rows of cells that rows of the print use. They may lie
// beyond the source's ends, where the end samples are repeated.
func (h *haloBounds) rows(top, bottom int) (from, to int) {
	return int(h.y.first[top]), int(h.y.first[bottom-1]) + 2
}

// columns does the same for columns.
func (h *haloBounds) columns(left, right int) (from, to int) {
	return int(h.x.first[left]), int(h.x.first[right-1]) + 2
}

// sourceRows returns the source rows that those cells read: one row more on either side
// than the two that a cell lies between.
func (h *haloBounds) sourceRows(top, bottom int) (lo, hi int) {
	from, to := h.rows(top, bottom)
	last := h.y.n - 1
	return min(max(from-1, 0), last), min(max(to+1, 0), last) + 1
}

// limitHalos computes the bounds of the tile's luma at the tile's columns, one row of
// cells at a time.
func limitHalos(r *Renderer, b *band) {
	if r.halos == nil {
		return
	}
	top, bottom := r.printRows(b, 0)
	left, right := r.printColumns(b, 0)
	from, to := r.halos.rows(top, bottom)
	first, end := r.halos.columns(left, right)
	first, end = first+r.margin, end+r.margin // in a line with its margin
	b.low.shape(from, left, to, right)
	b.high.shape(from, left, to, right)
	b.cellLow, b.cellHigh = grow(b.cellLow, b.source[0].cols), grow(b.cellHigh, b.source[0].cols)
	for k := from; k < to; k++ {
		var rows [4][]float32
		for j := range rows {
			row := b.source[0].row(min(max(k-1+j, 0), r.halos.y.n-1))
			rows[j] = row[first-1 : end+2]
		}
		vector.Bounds(b.cellLow[first:end], b.cellHigh[first:end], &rows, float32(r.recipe.Scale.HaloReach))
		r.halos.lines.Line(b.low.row(k), b.cellLow, left)
		r.halos.lines.Line(b.high.row(k), b.cellHigh, left)
	}
}

// holdHalos limits row y of the print's luma, at the tile's columns.
func (r *Renderer) holdHalos(b *band, y int, dst []float32) {
	k, w := int(r.halos.y.first[y]), r.halos.y.weights(y)
	vector.ClampTo(dst,
		[2][]float32{b.low.row(k), b.low.row(k + 1)},
		[2][]float32{b.high.row(k), b.high.row(k + 1)},
		[2]float32{w[0], w[1]})
}
