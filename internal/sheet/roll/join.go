package roll

import "slices"

// joinMost is the number of cells that two layers joined may have, joinTries how
// many pairs are tried.
const (
	joinMost  = 6
	joinTries = 200
)

// join takes two slabs of one run or two, of few cells, and packs them together
// exactly where that is shorter.
func (s *search) join() {
	tries := joinTries
	slabs := slices.Concat(s.best.runs...)
	for a := 0; a < len(slabs); a++ {
		for b := a + 1; b < len(slabs); b++ {
			p, q := slabs[a], slabs[b]
			if len(p.spots)+len(q.spots) > joinMost || s.done() {
				continue
			}
			if tries--; tries < 0 {
				return
			}
			e := newExact(s.task, cellsOf(p, q))
			all := len(e.outlines) - 1
			if len(e.outlines[all]) == 0 {
				continue
			}
			joined := e.slab(all)
			if joined.height >= p.height+q.height {
				continue
			}
			slabs = append(slices.Delete(slices.Delete(slices.Clone(slabs), b, b+1), a, a+1), joined)
			s.offer(s.task.inRuns(methodJoined, slabs))
			a, b = -1, len(slabs)
		}
	}
}

func cellsOf(slabs ...slab) []int {
	var cells []int
	for _, s := range slabs {
		for _, p := range s.spots {
			cells = append(cells, p.cell)
		}
	}
	return cells
}
