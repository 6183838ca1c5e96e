package roll

import "slices"

// A shape is a cell's two sides in units: w across the roll, h along it.
type shape struct{ w, h int64 }

func (s shape) area() int64       { return s.w * s.h }
func (s shape) turn() shape       { return shape{s.h, s.w} }
func (s shape) fits(r shape) bool { return s.w <= r.w && s.h <= r.h }

// A cell is an item grown by the gap. upright and turned say in which orientations it fits
// the roll; at least one is true.
type cell struct {
	shape
	upright, turned bool
}

// A task is the packing problem: cells without gaps.
type task struct {
	cells  []cell
	width  int64 // of the strip
	most   int64 // greatest height of a run's cells
	perRun int64 // length that a run adds to its cells' height, 0 or more
}

// A spot is a cell's position in its run, and its orientation there.
type spot struct {
	shape
	cell   int
	x, y   int64
	turned bool
}

// A layout is a list of runs, each a list of spots.
type layout [][]spot

// length returns the total length of the layout in units.
func (t *task) length(l layout) int64 {
	var sum int64
	for _, run := range l {
		sum += t.perRun + height(run)
	}
	return sum
}

// height returns how far a run's spots reach along the roll.
func height(run []spot) int64 {
	var far int64
	for _, s := range run {
		far = max(far, s.y+s.h)
	}
	return far
}

// area returns the total area of the cells.
func (t *task) area() int64 {
	var sum int64
	for _, c := range t.cells {
		sum += c.area()
	}
	return sum
}

// A filler puts a cell into the corner of a space and fills the two remaining parts
// recursively, as in Zhang, Kang and Deng, "A new heuristic recursive algorithm for
// the strip rectangular packing problem", Computers & Operations Research 33 (2006).
type filler struct {
	task  *task
	way   way
	rest  []int // cells without a spot, the preferred first
	spots []spot
	area  int64 // of all spots
	least int64 // no cell has a shorter side
}

// fill fills runs with a total height for cells, each as high as a run may be and the last
// with what is left. It also returns the area of the cells that found no room.
func (t *task) fill(height int64, w way) (layout, int64) {
	f := &filler{task: t, way: w, rest: slices.Clone(w.order), least: t.cells[0].w}
	for _, c := range t.cells {
		f.least = min(f.least, c.w, c.h)
	}
	var l layout
	for height > 0 && len(f.rest) > 0 {
		f.spots = nil
		f.fill(0, 0, shape{t.width, min(height, t.most)})
		if len(f.spots) == 0 {
			break
		}
		l = append(l, f.spots)
		height -= t.most
	}
	return l, t.area() - f.area
}

// fill fills a space whose corner is at x, y.
func (f *filler) fill(x, y int64, space shape) {
	for space.w >= f.least && space.h >= f.least {
		k, turned := f.choose(space)
		if k < 0 {
			return
		}
		s := f.put(k, turned, x, y)
		beside, beyond := space.w-s.w, space.h-s.h
		if beside == 0 || beyond > 0 && f.across(space, s) {
			f.fill(x+s.w, y, shape{beside, s.h})
			y, space.h = y+s.h, beyond
		} else {
			f.fill(x, y+s.h, shape{s.w, beyond})
			x, space.w = x+s.w, beside
		}
	}
}

// put places the k-th of the remaining cells.
func (f *filler) put(k int, turned bool, x, y int64) spot {
	i := f.rest[k]
	f.rest = slices.Delete(f.rest, k, k+1)
	s := spot{f.task.cells[i].shape, i, x, y, turned}
	if turned {
		s.shape = s.turn()
	}
	f.spots = append(f.spots, s)
	f.area += s.area()
	return s
}

// choose returns the index in rest of the cell for a space's corner, or -1 for none.
func (f *filler) choose(space shape) (best int, lies bool) {
	best = -1
	var least int64
	for k, i := range f.rest {
		c, t := &f.task.cells[i], f.way.turns[i]
		if c.upright && (t != mustTurn || !c.turned) && c.fits(space) {
			if p := f.penalty(space, c.shape); best < 0 || p < least {
				best, lies, least = k, false, p
			}
		}
		if c.turned && (t != unturned || !c.upright) && c.turn().fits(space) {
			if p := f.penalty(space, c.turn()); best < 0 || p < least {
				best, lies, least = k, true, p
			}
		}
		if best >= 0 && least == 0 {
			break
		}
	}
	return best, lies
}

// penalty is smaller for a better cell, and zero for one that no other can beat.
func (f *filler) penalty(space, s shape) int64 {
	switch {
	case f.way.choice == first:
		return 0
	case f.way.choice == shortSide:
		return min(space.w-s.w, space.h-s.h)
	case space == s:
		return 0
	case space.w == s.w:
		return 1
	case space.h == s.h:
		return 2
	}
	return 3
}

// across reports whether the space beyond s gets the whole width.
func (f *filler) across(space shape, s spot) bool {
	rule := f.way.splits[s.cell]
	if rule == byRule {
		rule = f.way.split
	}
	if rule == whole {
		beside, beyond := space.w-s.w, space.h-s.h
		return max(space.w*beyond, beside*s.h) >= max(beside*space.h, s.w*beyond)
	}
	return rule == across
}
