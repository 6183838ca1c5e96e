package roll

import (
	"cmp"
	"slices"
)

// layers packs in layers: the first cell that is left gives its height, and the
// rest of the layer is filled. Which way the first lies is tried both ways, and the
// way that leaves the smaller share of the layer empty is kept.
func (t *task) layers(order []int, r rule) []slab {
	var slabs []slab
	rest := slices.Clone(order)
	for len(rest) > 0 {
		var best *filler
		var bestHeight int64
		for _, turned := range [2]bool{false, true} {
			s, ok := t.cells[rest[0]].way(turned)
			if !ok {
				continue
			}
			f := newFiller(t, r, slices.Clone(rest))
			f.put(0, turned, 0, 0)
			f.fill(s.w, 0, shape{t.width - s.w, s.h})
			if best == nil || ratioAbove(f.area, s.h, best.area, bestHeight) {
				best, bestHeight = f, s.h
			}
		}
		slabs = append(slabs, slab{bestHeight, best.spots})
		rest = best.rest
	}
	return slabs
}

// ratioAbove reports whether a/b > c/d.
func ratioAbove(a, b, c, d int64) bool {
	return float64(a)*float64(d) > float64(c)*float64(b)
}

// shelves is best fit by decreasing height (Coffman, Garey, Johnson and Tarjan,
// "Performance bounds for level-oriented two-dimensional packing algorithms", SIAM
// Journal on Computing 9, 1980, for the family): each cell goes onto the shelf
// where it leaves the least width. Cells lie as low as they may, or as narrow.
func (t *task) shelves(low bool) []slab {
	type lain struct {
		shape
		cell   int
		turned bool
	}
	all := make([]lain, len(t.cells))
	for i, c := range t.cells {
		turned := !c.upright || c.turned && (c.turn().h < c.h) == low && c.w != c.h
		s, _ := c.way(turned)
		all[i] = lain{s, i, turned}
	}
	slices.SortStableFunc(all, func(a, b lain) int { return cmp.Compare(b.h, a.h) })
	var slabs []slab
	var filled []int64
	for _, c := range all {
		best := -1
		for k, w := range filled {
			if w+c.w <= t.width && (best < 0 || w > filled[best]) {
				best = k
			}
		}
		if best < 0 {
			best = len(slabs)
			slabs, filled = append(slabs, slab{height: c.h}), append(filled, 0)
		}
		slabs[best].spots = append(slabs[best].spots, spot{c.cell, filled[best], 0, c.turned})
		filled[best] += c.w
	}
	return slabs
}
