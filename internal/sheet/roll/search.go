package roll

import (
	"cmp"
	"slices"
)

// Names of the ways of packing, as [Plan.Method] has them.
const (
	methodExact   = "exact"
	methodShelves = "shelves"
	methodLayers  = "layers"
	methodWhole   = "whole length"
	methodJoined  = "layers joined"
)

// A search keeps the best layout and what led to it.
type search struct {
	task   *task
	as     [stances]*task
	bound  int64
	best   layout
	length int64
	order  []int // and rule: the best layers' or whole lengths' start, to go on from
	rule   rule
	lucky  lucky
}

func newSearch(t *task) *search {
	s := &search{task: t, bound: t.bound(), order: t.orders()[0]}
	for k := range stances {
		s.as[k] = t.in(k)
	}
	return s
}

func (s *search) layers(order []int, r rule) layout {
	return s.task.inRuns(methodLayers, s.as[r.stance].layers(order, r))
}

// solve returns a layout of all of the task's cells.
func (t *task) solve() layout {
	if len(t.cells) == 0 {
		return layout{method: methodExact}
	}
	if len(t.cells) <= ExactMost {
		all := make([]int, len(t.cells))
		for i := range all {
			all[i] = i
		}
		return newExact(t, all).best()
	}
	return t.heuristic()
}

// heuristic returns the best layout that all else finds.
func (t *task) heuristic() layout {
	s := newSearch(t)
	s.offer(t.inRuns(methodShelves, t.shelves(true)))
	s.offer(t.inRuns(methodShelves, t.shelves(false)))
	s.construct()
	s.join()
	s.improveLayers()
	s.shorten()
	s.join()
	return s.best
}

// offer keeps a layout if it is shorter than the best so far.
func (s *search) offer(l layout) bool {
	n := s.task.length(l)
	if s.best.runs != nil && n >= s.length {
		return false
	}
	s.best, s.length = l, n
	return true
}

func (s *search) done() bool { return s.length <= s.bound }

const leastTries = 8

// construct tries every rule on every sensible order, in layers and whole; of
// thousands of cells as many as the effort allows, and at least leastTries.
func (s *search) construct() {
	tries, n := 0, len(s.task.cells)
	for _, order := range s.task.orders() {
		for k := range int(choices) * int(splits) * int(stances) {
			if tries++; s.done() || tries > leastTries && tries*n*n > 3*effort {
				return
			}
			r := rule{choice(k) % choices, split(k) / split(choices) % splits, stance(k) / stance(choices) / stance(splits)}
			if s.offer(s.layers(order, r)) {
				s.order, s.rule = order, r
			}
			s.bisect(order, r)
		}
	}
}

// bisectSteps takes the whole length to within 2 % of what is between the bound
// and the best.
const bisectSteps = 6

// bisect looks for a shorter length that takes all cells, if one that is just
// shorter does. Room is not quite monotone in the length, so it finds a short one,
// not the shortest.
func (s *search) bisect(order []int, r rule) {
	low, high := s.room(s.bound), s.room(s.length)-1
	at := high
	for range bisectSteps {
		if low > high {
			return
		}
		slabs, missing := s.as[r.stance].within(at, order, r)
		switch {
		case missing == 0:
			high = at - 1
			if s.offer(s.task.inRuns(methodWhole, slabs)) {
				s.order, s.rule = order, r
			}
		case at == high:
			return
		default:
			low = at + 1
		}
		at = (low + high) / 2
	}
}

// room is what a length has for cells, in as many runs as the best has.
func (s *search) room(length int64) int64 {
	return length - int64(len(s.best.runs))*s.task.perRun
}

// orders are the cells by several measures of size, descending.
func (t *task) orders() [][]int {
	measures := []func(cell) int64{
		func(c cell) int64 { return c.area() },
		func(c cell) int64 { return max(c.w, c.h) },
		func(c cell) int64 { return min(c.w, c.h) },
		func(c cell) int64 { return c.w + c.h },
		func(c cell) int64 { return c.w },
	}
	var orders [][]int
	for _, m := range measures {
		order := make([]int, len(t.cells))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int {
			p, q := t.cells[a], t.cells[b]
			return cmp.Or(cmp.Compare(m(q), m(p)), cmp.Compare(q.area(), p.area()), cmp.Compare(q.w, p.w))
		})
		orders = append(orders, order)
	}
	return orders
}
