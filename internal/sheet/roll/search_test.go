package roll

import (
	"math"
	"testing"
)

// brute finds the least height in another way: it tries all guillotine patterns, as binary
// trees in Polish notation.
func (t *task) brute() int64 {
	best := int64(math.MaxInt64)
	used := make([]bool, len(t.cells))
	var stack []shape
	var walk func(left int)
	walk = func(left int) {
		if left == 0 && len(stack) == 1 {
			best = min(best, stack[0].h)
		}
		if n := len(stack); n >= 2 {
			a, b := stack[n-2], stack[n-1]
			for _, s := range [2]shape{{a.w + b.w, max(a.h, b.h)}, {max(a.w, b.w), a.h + b.h}} {
				if s.w <= t.width {
					stack = append(stack[:n-2], s)
					walk(left)
				}
			}
			stack = append(stack[:n-2], a, b)
		}
		for i, c := range t.cells {
			for _, turned := range [2]bool{false, true} {
				s, ok := c.shape, c.upright
				if turned {
					s, ok = c.turn(), c.turned
				}
				if ok && !used[i] {
					used[i] = true
					stack = append(stack, s)
					walk(left - 1)
					stack = stack[:len(stack)-1]
					used[i] = false
				}
			}
		}
	}
	walk(len(t.cells))
	return best
}

// small returns a task of n cells of sides 1 to 9 on a strip 12 wide.
func (g *generator) small(n int) *task {
	t := &task{width: 12, most: 1000}
	for range n {
		t.cells = append(t.cells, cell{shape{int64(g.from(1, 9)), int64(g.from(1, 9))}, true, g.below(3) > 0})
	}
	return t
}

// These nights are small enough to try every tree of cuts.
func TestSmallNightsBesideTheBest(t *testing.T) {
	var g generator
	var over, most float64
	equal, n := 0, 80
	for range n {
		task := g.small(1 + g.below(5))
		best, got := task.brute(), task.length(task.pack())
		if got < best {
			t.Errorf("%+v: %d, less than the best %d", task.cells, got, best)
		}
		if got == best {
			equal++
		}
		over += float64(got)/float64(best) - 1
		most = max(most, float64(got)/float64(best)-1)
	}
	t.Logf("%d of %d are the best, the mean is %.2f %% over, the worst %.1f %%", equal, n, 100*over/float64(n), 100*most)
	if equal < n*95/100 || over/float64(n) > 0.01 {
		t.Error("small nights are packed worse than they were")
	}
}

// With limited runs, the best distribution counts: three of height 6 and three of
// height 4 make three runs of 10, not 12 + 8.
func TestPrintsArePartedIntoRuns(t *testing.T) {
	task := &task{width: 5, most: 10, perRun: 2}
	for _, h := range []int64{6, 4, 6, 4, 6, 4} {
		task.cells = append(task.cells, cell{shape{5, h}, true, false})
	}
	l := task.pack()
	if got := task.length(l); got != 36 || len(l) != 3 {
		t.Errorf("%d in %d runs, want 36 in 3", got, len(l))
	}
}

// The bound is not above the best where the best is known, and equals it where every print
// is wider than half the roll.
func TestNoPackingIsBelowTheBound(t *testing.T) {
	var g generator
	for range 50 {
		task := g.small(1 + g.below(6))
		if task.perRun, task.most = int64(g.below(7)), int64(9+g.below(20)); g.below(2) == 0 {
			task.most = 1000
		}
		for i, c := range task.cells {
			space := shape{task.width, task.most}
			task.cells[i].upright, task.cells[i].turned = c.shape.fits(space), c.turned && c.turn().fits(space)
		}
		if b, l := task.bound(), task.length(task.pack()); b > l {
			t.Errorf("%+v in %d, %d a run: bound %d, best %d", task.cells, task.most, task.perRun, b, l)
		}
	}
	wide := &task{width: 10, most: 1000}
	for _, h := range []int64{7, 8, 9} {
		wide.cells = append(wide.cells, cell{shape{6, h}, true, true})
	}
	if got := wide.bound(); got != 18 {
		t.Errorf("three wider than half the strip, 6 high at least: bound %d", got)
	}
}

// 5 and 5 fill only 10 of 12; no line across crosses more.
func TestRowWidthIsWhatSidesAddUpTo(t *testing.T) {
	task := &task{width: 12, most: 1000, cells: []cell{{shape{5, 7}, true, false}, {shape{5, 8}, true, false}, {shape{5, 9}, true, true}}}
	if got := task.rowWidth(); got != 10 {
		t.Errorf("5, 5 and 5 or 9 on 12 fill %d", got)
	}
	task.cells[1].turned = true // 5 or 8
	if got := task.rowWidth(); got != 10 {
		t.Errorf("5, 5 or 8 and 5 or 9 on 12 fill %d", got)
	}
	task.cells[0].turned = true // 7 and 5
	if got := task.rowWidth(); got != 12 {
		t.Errorf("with 7 and 5 on 12: %d", got)
	}
}

// Instances whose best is known are made as by Hopper and Turton: a rectangle is cut up,
// here by guillotine cuts, with our own seed.
func TestRectanglesCutUp(t *testing.T) {
	var g generator
	var over []float64
	for range 4 {
		items := prints(true, g.cutUp([2]float64{400, 300}, 12)...)
		p := Pack(items, Roll{WidthMM: 400})
		check(t, items, p)
		over = append(over, round1(100*(p.LengthMM/300-1)))
		if p.LengthMM < 300-tolerance || p.LengthMM > 330 {
			t.Errorf("%v mm for a rectangle 300 high cut up", p.LengthMM)
		}
	}
	t.Logf("%% over: %v", over)
}

func (g *generator) cutUp(whole [2]float64, n int) [][2]float64 {
	parts := [][2]float64{whole}
	for len(parts) < n {
		k := g.below(len(parts))
		p, d := parts[k], g.below(2)
		if p[d] < 30 {
			continue
		}
		a, b := p, p
		a[d] = g.from(10, int(p[d])-10)
		b[d] = p[d] - a[d]
		parts[k] = a
		parts = append(parts, b)
	}
	return parts
}

func TestAPatternOfPinwheelsCannotBeCut(t *testing.T) {
	r := Run{WidthMM: 3, LengthMM: 3, Pieces: []Piece{{"1", 0, 0, 2, 1, false}, {"2", 2, 0, 1, 2, false}, {"3", 1, 2, 2, 1, false}, {"4", 0, 1, 1, 2, false}}}
	if r.cutPart(part{0, 0, 3, 3, r.Pieces}, 0, true) {
		t.Error("a pinwheel was cut from edge to edge")
	}
}
