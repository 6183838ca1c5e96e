package roll

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// ExactMost is the number of prints up to which a plan is the best there is.
const ExactMost = 8

// An outline is a shape that a subset of cells can take, and how: cut across or
// along into an outline of the subset part and one of the others; a single cell
// has no parts.
type outline struct {
	shape
	part         int  // the subset cut off first, 0 for a single cell
	across       bool // the cut
	first, other int  // their outlines' places
	turned       bool // a single cell's
}

// An exact knows the outlines of every subset of up to ExactMost cells: those that
// no other is within, ascending by width. It is Stockmeyer's combination of shapes
// ("Optimal orientations of cells in slicing floorplan designs", Information and
// Control 57, 1983) over every way of cutting instead of one.
type exact struct {
	task     *task
	cells    []int       // of the task; a bit of a subset each
	outlines [][]outline // by subset
}

func newExact(t *task, cells []int) *exact {
	e := &exact{t, cells, make([][]outline, 1<<len(cells))}
	for set := 1; set < len(e.outlines); set++ {
		e.outlines[set] = e.smallest(set)
	}
	return e
}

// smallest finds a subset's outlines. Those of its parts are known.
func (e *exact) smallest(set int) []outline {
	if bits.OnesCount(uint(set)) == 1 {
		return smallest(e.single(e.cells[bits.TrailingZeros(uint(set))]))
	}
	var all []outline
	// Each way of parting once: the part without the lowest cell, which all others
	// come before.
	others := set & (set - 1)
	for part := others; part > 0; part = (part - 1) & others {
		all = e.combine(all, part, set&^part)
		if len(all) > 4096 {
			all = smallest(all)
		}
	}
	return smallest(all)
}

func (e *exact) single(i int) []outline {
	var all []outline
	for _, turned := range [2]bool{false, true} {
		if s, ok := e.task.cells[i].way(turned); ok {
			all = append(all, outline{shape: s, turned: turned})
		}
	}
	return all
}

// combine appends what an outline of each of two subsets makes, beside each other
// and one beyond the other.
func (e *exact) combine(all []outline, part, other int) []outline {
	width, most := e.task.width, e.task.most
	for a, p := range e.outlines[part] {
		for b, q := range e.outlines[other] {
			if w := p.w + q.w; w <= width {
				all = append(all, outline{shape{w, max(p.h, q.h)}, part, false, a, b, false})
			}
			if h := p.h + q.h; h <= most {
				all = append(all, outline{shape{max(p.w, q.w), h}, part, true, a, b, false})
			}
		}
	}
	return all
}

// smallest keeps the outlines that no other is within, ascending by width.
func smallest(all []outline) []outline {
	slices.SortStableFunc(all, func(a, b outline) int { return cmp.Or(cmp.Compare(a.w, b.w), cmp.Compare(a.h, b.h)) })
	var kept []outline
	least := int64(math.MaxInt64)
	for _, o := range all {
		if o.h < least {
			kept, least = append(kept, o), o.h
		}
	}
	return kept
}

// best returns the layout of least length of all the cells: the best of every way
// of parting them into runs. There may be none only for cells that do not fit.
func (e *exact) best() layout {
	least := make([]int64, len(e.outlines))
	run := make([]int, len(e.outlines))
	for set := 1; set < len(least); set++ {
		least[set] = math.MaxInt64
		lowest := set & -set
		others := set &^ lowest
		for with := others; ; with = (with - 1) & others {
			if o := e.outlines[with|lowest]; len(o) > 0 {
				if l := o[len(o)-1].h + e.task.perRun + least[set&^(with|lowest)]; l < least[set] {
					least[set], run[set] = l, with|lowest
				}
			}
			if with == 0 {
				break
			}
		}
	}
	l := layout{method: methodExact}
	for set := len(least) - 1; set > 0; set &^= run[set] {
		l.runs = append(l.runs, []slab{e.slab(run[set])})
	}
	return l
}

// slab is a subset's outline of least height, its last.
func (e *exact) slab(set int) slab {
	o := e.outlines[set]
	return slab{o[len(o)-1].h, e.spots(nil, set, len(o)-1, 0, 0)}
}

// spots appends the spots of a subset's k-th outline with its corner at x, y.
func (e *exact) spots(to []spot, set, k int, x, y int64) []spot {
	o := e.outlines[set][k]
	if o.part == 0 {
		return append(to, spot{e.cells[bits.TrailingZeros(uint(set))], x, y, o.turned})
	}
	to = e.spots(to, o.part, o.first, x, y)
	first := e.outlines[o.part][o.first]
	if o.across {
		y += first.h
	} else {
		x += first.w
	}
	return e.spots(to, set&^o.part, o.other, x, y)
}
