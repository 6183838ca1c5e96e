package roll

import "slices"

// within fills runs whose cells are height high altogether, each as high as a run
// may be and the last what is left. It returns a slab a run and the area of the
// cells that found no room.
func (t *task) within(height int64, order []int, r rule) ([]slab, int64) {
	rest := slices.Clone(order)
	var slabs []slab
	missing := t.area()
	for height > 0 && len(rest) > 0 {
		h := min(height, t.most)
		f := newFiller(t, r, rest)
		f.fill(0, 0, shape{t.width, h})
		height -= h
		if len(f.spots) == 0 {
			break
		}
		slabs = append(slabs, slab{t.reach(f.spots), f.spots})
		rest = f.rest
		missing -= f.area
	}
	return slabs, missing
}

// reach is how far spots go along the strip.
func (t *task) reach(spots []spot) int64 {
	var far int64
	for _, s := range spots {
		c, _ := t.cells[s.cell].way(s.turned)
		far = max(far, s.y+c.h)
	}
	return far
}
