package roll

import (
	"cmp"
	"slices"
)

// A shape is a cell's two sides in units: w across the roll, h along it.
type shape struct{ w, h int64 }

func (s shape) area() int64       { return s.w * s.h }
func (s shape) turn() shape       { return shape{s.h, s.w} }
func (s shape) fits(r shape) bool { return s.w <= r.w && s.h <= r.h }

// A cell is an item grown by the gap. At least one of upright and turned is true:
// the ways that fit the roll.
type cell struct {
	shape
	upright, turned bool
}

// way is the cell's shape when turned or not, and whether it may be so.
func (c cell) way(turned bool) (shape, bool) {
	if turned {
		return c.turn(), c.turned
	}
	return c.shape, c.upright
}

// A task is what the packers see: cells without gaps.
type task struct {
	cells  []cell
	width  int64 // of the strip
	most   int64 // height of a run's cells at most
	perRun int64 // what a run costs besides its cells' height, from 0
}

// A spot is a cell's place in its slab.
type spot struct {
	cell   int
	x, y   int64
	turned bool
}

// A slab is a length of the strip as wide as it is, with its spots: it can be cut
// off across, so slabs may be put in any order and into any run.
type slab struct {
	height int64
	spots  []spot
}

// A layout is runs of slabs.
type layout struct {
	method string
	runs   [][]slab
}

// length is the layout's whole length in units.
func (t *task) length(l layout) int64 {
	var sum int64
	for _, run := range l.runs {
		sum += t.perRun
		for _, s := range run {
			sum += s.height
		}
	}
	return sum
}

// inRuns puts slabs into as few runs as first fit by decreasing height finds.
func (t *task) inRuns(method string, slabs []slab) layout {
	sorted := slices.Clone(slabs)
	slices.SortStableFunc(sorted, func(a, b slab) int { return cmp.Compare(b.height, a.height) })
	l := layout{method: method}
	var room []int64
	for _, s := range sorted {
		k := slices.IndexFunc(room, func(r int64) bool { return s.height <= r })
		if k < 0 {
			k = len(room)
			room, l.runs = append(room, t.most), append(l.runs, nil)
		}
		room[k] -= s.height
		l.runs[k] = append(l.runs[k], s)
	}
	return l
}

// area is the cells' together.
func (t *task) area() int64 {
	var sum int64
	for _, c := range t.cells {
		sum += c.area()
	}
	return sum
}

// A stance takes ways of lying away from cells that have both: freedom to turn is
// more than a rule that looks one cell ahead can always use.
type stance int

const (
	free stance = iota
	asGiven
	lying    // the longer side across
	standing // the longer side along
	stances
)

// in is the task with a stance.
func (t *task) in(s stance) *task {
	u := *t
	u.cells = slices.Clone(t.cells)
	for i, c := range u.cells {
		if s == free || !c.upright || !c.turned {
			continue
		}
		turned := s == lying && c.h > c.w || s == standing && c.w > c.h
		u.cells[i].upright, u.cells[i].turned = !turned, turned
	}
	return &u
}
