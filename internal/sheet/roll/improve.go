package roll

import "slices"

// effort bounds the work of each kind of improvement, in cells looked at: a fifth
// of a second or less. steps is what it comes to for the task.
const (
	effort    = 15_000_000
	mostSteps = 10_000
)

func (s *search) steps() int {
	n := len(s.task.cells)
	return min(mostSteps, effort/(n*n))
}

// improveLayers changes the order of cells and keeps what makes the layers no
// longer.
func (s *search) improveLayers() {
	t := s.task
	order, r := slices.Clone(s.order), s.rule
	least := t.length(s.layers(order, r))
	for range s.steps() {
		if s.done() {
			return
		}
		next, nextRule := s.vary(order, r)
		l := s.layers(next, nextRule)
		if n := t.length(l); n <= least {
			order, r, least = next, nextRule, n
			if s.offer(l) {
				s.order, s.rule = order, r
			}
		}
	}
}

// shorten asks for a length a little below the best, changes the order and keeps
// what leaves no more cells' area without room, and asks again when all have it.
func (s *search) shorten() {
	t := s.task
	order, r := slices.Clone(s.order), s.rule
	_, least := s.just(order, r)
	for range s.steps() {
		if s.done() {
			return
		}
		next, nextRule := s.vary(order, r)
		slabs, missing := s.just(next, nextRule)
		if missing > least {
			continue
		}
		order, r, least = next, nextRule, missing
		if missing == 0 {
			s.offer(t.inRuns(methodWhole, slabs))
			_, least = s.just(order, r)
		}
	}
}

// just fills a length a little below the best.
func (s *search) just(order []int, r rule) ([]slab, int64) {
	return s.as[r.stance].within(s.room(s.length)-1, order, r)
}

// vary moves one cell to another place in the order, or exchanges two; now and then
// it takes another rule.
func (s *search) vary(order []int, r rule) ([]int, rule) {
	next := slices.Clone(order)
	i, j := s.lucky.below(len(next)), s.lucky.below(len(next))
	switch s.lucky.below(8) {
	case 0:
		return next, rule{choice(s.lucky.below(int(choices))), split(s.lucky.below(int(splits))), stance(s.lucky.below(int(stances)))}
	case 1, 2, 3:
		c := next[i]
		next = slices.Insert(slices.Delete(next, i, i+1), j, c)
	default:
		next[i], next[j] = next[j], next[i]
	}
	return next, r
}

// lucky is splitmix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number
// generators", OOPSLA 2014): here, because it must be the same in every release of
// Go.
type lucky uint64

func (l *lucky) below(n int) int {
	*l += 0x9e3779b97f4a7c15
	z := uint64(*l)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return int((z ^ z>>31) % uint64(n))
}
