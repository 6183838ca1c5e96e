package roll

import (
	"cmp"
	"math"
	"slices"
)

// effort limits the work of the search, in cells examined, to under half a second. At least
// leastTries ways are tried, however many cells there are. The search starts again after
// patience times as many steps as there are cells without success.
const (
	effort     = 40_000_000
	mostSteps  = 20_000
	leastTries = 8
	patience   = 50
)

// A choice says which of the cells that fit a space is put into its corner.
type choice int

const (
	tightest  choice = iota // one that fits exactly, then in width, then in height, then the first
	shortSide               // the one that leaves the least on its shorter side
	first                   // the first in order
	choices
)

// A split says how the space beside and beyond a cell is divided.
type split int8

const (
	byRule split = iota // by the rule of the way
	across              // beyond the cell gets the whole width
	along               // beside the cell gets the whole height
	whole               // the largest part is as large as possible
)

// A turn says how to orient a cell that may be turned.
type turn int8

const (
	free turn = iota
	unturned
	mustTurn
)

// A way holds all choices of a [filler].
type way struct {
	choice choice
	split  split
	order  []int   // of the cells, the preferred first
	turns  []turn  // by cell
	splits []split // by cell; byRule unless the search tries another
}

func (w way) clone() way {
	w.order, w.turns, w.splits = slices.Clone(w.order), slices.Clone(w.turns), slices.Clone(w.splits)
	return w
}

// A search holds the shortest layout so far and the way that led to it.
type search struct {
	*task
	bound  int64
	best   layout
	length int64
	way    way
	random random
}

// pack returns the shortest layout of all cells that it finds.
func (t *task) pack() layout {
	if len(t.cells) == 0 {
		return nil
	}
	s := &search{task: t, bound: t.bound()}
	s.tryRules()
	s.improve()
	return s.best
}

func (s *search) done() bool { return s.best != nil && s.length <= s.bound }

// offer keeps a layout if it is shorter than the best so far.
func (s *search) offer(l layout, w way) {
	if n := s.task.length(l); s.best == nil || n < s.length {
		s.best, s.length, s.way = l, n, w
	}
}

// room returns the height for cells within a length, with as many runs as the best layout.
func (s *search) room(length int64) int64 { return length - int64(len(s.best))*s.perRun }

// tryRules tries every rule on every order.
func (s *search) tryRules() {
	tries, n := 0, len(s.cells)
	for _, order := range s.orders() {
		for rule := across; rule <= whole; rule++ {
			for choice := range choices {
				if tries++; s.done() || tries > leastTries && tries*n*n > effort {
					return
				}
				s.shorten(way{choice, rule, order, make([]turn, n), make([]split, n)})
			}
		}
	}
}

// shorten fills lengths just below the best as long as the way places all cells.
func (s *search) shorten(w way) {
	room := s.most * int64(len(s.cells))
	if s.best != nil {
		room = s.room(s.length) - 1
	}
	for l, missing := s.fill(room, w); missing == 0; l, missing = s.fill(room, w) {
		s.offer(l, w)
		room = s.room(s.length) - 1
	}
}

// improve asks for a length just below the best and changes the way a little at a time. It
// keeps a change that leaves no more area of cells without room, and asks for less again
// when all cells have room. Without success it starts again from the best way, changed a
// lot.
func (s *search) improve() {
	n := len(s.cells)
	w, stale := s.way, 0
	_, least := s.fill(s.room(s.length)-1, w)
	for range min(mostSteps, effort/(n*n)) {
		if s.done() {
			return
		}
		if stale++; stale > patience*n {
			w, stale, least = s.way, 0, math.MaxInt64
			for range n {
				w = s.vary(w)
			}
		}
		next := s.vary(w)
		l, missing := s.fill(s.room(s.length)-1, next)
		if missing > least {
			continue
		}
		if missing < least {
			stale = 0
		}
		w, least = next, missing
		if missing == 0 {
			s.offer(l, w)
			_, least = s.fill(s.room(s.length)-1, w)
		}
	}
}

// vary changes one thing in a way.
func (s *search) vary(w way) way {
	w = w.clone()
	i, j := s.random.below(len(w.order)), s.random.below(len(w.order))
	switch n := s.random.below(16); {
	case n == 0:
		w.choice, w.split = choice(s.random.below(int(choices))), across+split(s.random.below(3))
	case n < 6:
		moved := w.order[i]
		w.order = slices.Insert(slices.Delete(w.order, i, i+1), j, moved)
	case n < 11:
		w.order[i], w.order[j] = w.order[j], w.order[i]
	case n < 14:
		w.turns[i] = turn(s.random.below(3))
	default:
		w.splits[i] = split(s.random.below(3))
	}
	return w
}

// orders returns the cells in descending order by several measures of size.
func (t *task) orders() [][]int {
	var orders [][]int
	for _, m := range []func(shape) int64{
		shape.area,
		func(s shape) int64 { return max(s.w, s.h) },
		func(s shape) int64 { return min(s.w, s.h) },
		func(s shape) int64 { return s.w + s.h },
		func(s shape) int64 { return s.w },
	} {
		order := make([]int, len(t.cells))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int {
			p, q := t.cells[a].shape, t.cells[b].shape
			return cmp.Or(cmp.Compare(m(q), m(p)), cmp.Compare(q.area(), p.area()), cmp.Compare(q.w, p.w))
		})
		orders = append(orders, order)
	}
	return orders
}

// random is splitmix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number
// generators", OOPSLA 2014). It is here because it must not change with the release of Go.
type random uint64

func (r *random) below(n int) int {
	*r += 0x9e3779b97f4a7c15
	z := uint64(*r)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return int((z ^ z>>31) % uint64(n))
}
