package roll

// A choice says which of the cells that fit a space is put into its corner.
type choice int

const (
	tightest  choice = iota // one that fits exactly, then in width, then in height, then the first
	shortSide               // the least left over on the shorter side
	largest                 // the least area left over
	choices
)

// A split says how what is left of a space beside and beyond a cell is parted.
type split int

const (
	splitAcross split = iota // beyond the cell the whole width
	splitAlong               // beside the cell the whole height
	splitWhole               // so that the largest part is as large as can be
	splitNeeds               // by what the cells still to come are able to use
	splits
)

// A rule is a choice and a split, for cells that may lie so.
type rule struct {
	choice choice
	split  split
	stance stance
}

// A filler puts cells into spaces, the corner first and the two parts that are left
// recursively, as in Zhang, Kang and Deng, "A new heuristic recursive algorithm for
// the strip rectangular packing problem", Computers & Operations Research 33 (2006).
type filler struct {
	task  *task
	rule  rule
	rest  []int // cells without a spot, the preferred first
	spots []spot
	area  int64 // of spots
	low   int64 // no cell has a shorter side
}

func newFiller(t *task, r rule, rest []int) *filler {
	f := &filler{task: t, rule: r, rest: rest}
	f.low = f.need()
	return f
}

// fill packs a space whose corner is x, y.
func (f *filler) fill(x, y int64, space shape) {
	for space.w >= f.low && space.h >= f.low {
		k, turned := f.choose(space)
		if k < 0 {
			return
		}
		s := f.put(k, turned, x, y)
		beside, beyond := space.w-s.w, space.h-s.h
		switch {
		case beside == 0 || beyond > 0 && f.across(space, s):
			f.fill(x+s.w, y, shape{beside, s.h})
			y, space.h = y+s.h, beyond
		default:
			f.fill(x, y+s.h, shape{s.w, beyond})
			x, space.w = x+s.w, beside
		}
	}
}

// put gives the k-th of the rest a spot.
func (f *filler) put(k int, turned bool, x, y int64) shape {
	i := f.rest[k]
	f.rest = append(f.rest[:k], f.rest[k+1:]...)
	f.spots = append(f.spots, spot{i, x, y, turned})
	s, _ := f.task.cells[i].way(turned)
	f.area += s.area()
	return s
}

// choose returns the place in rest of the cell for a space's corner, -1 for none.
func (f *filler) choose(space shape) (best int, turned bool) {
	best = -1
	var least int64
	for k, i := range f.rest {
		c := &f.task.cells[i]
		if c.upright && c.shape.fits(space) {
			if p := f.penalty(space, c.shape); best < 0 || p < least {
				best, turned, least = k, false, p
			}
		}
		if c.turned && c.h <= space.w && c.w <= space.h {
			if p := f.penalty(space, c.turn()); best < 0 || p < least {
				best, turned, least = k, true, p
			}
		}
		if best >= 0 && least == 0 {
			break
		}
	}
	return best, turned
}

// penalty is smaller for the better cell and zero for one that fits exactly.
func (f *filler) penalty(space, s shape) int64 {
	switch f.rule.choice {
	case shortSide:
		return min(space.w-s.w, space.h-s.h)
	case largest:
		return space.area() - s.area()
	}
	switch {
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
func (f *filler) across(space, s shape) bool {
	beside, beyond := space.w-s.w, space.h-s.h
	switch f.rule.split {
	case splitAlong:
		return false
	case splitWhole:
		return max(space.w*beyond, beside*s.h) >= max(beside*space.h, s.w*beyond)
	case splitNeeds:
		return f.acrossByNeeds(s, beside, beyond)
	}
	return true
}

// acrossByNeeds follows Zhang, Shi, Leung and Wu, "A priority heuristic for the
// guillotine rectangular packing problem", Information Processing Letters 116
// (2016), from memory: a part too small for all that is to come goes to the other.
func (f *filler) acrossByNeeds(s shape, beside, beyond int64) bool {
	need := f.need()
	switch {
	case beside < need:
		return true
	case beyond < need:
		return false
	}
	return s.w < need
}

// need is the shortest side of all cells still to come.
func (f *filler) need() int64 {
	var least int64
	for k, i := range f.rest {
		if side := min(f.task.cells[i].w, f.task.cells[i].h); k == 0 || side < least {
			least = side
		}
	}
	return least
}
