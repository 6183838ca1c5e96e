package detail

import "slices"

// House judgement, no source.
const fewLevels = 16 // values in a tile: interpolation makes more, and a pattern of fewer was drawn

// doubled is what a tile says of pixels that stand several times beside and under
// each other, as after an enlargement by the nearest neighbour.
type doubled struct {
	changes [2][]bool // by place, across and down: a pixel differs from the one before it
	levels  []float32 // its values, but no more than fewLevels + 1
}

// doubledOf looks at a tile of n x n pixels whose rows begin stride values apart.
func doubledOf(pix []float32, stride, n int) doubled {
	d := doubled{changes: [2][]bool{make([]bool, n), make([]bool, n)}}
	for y := range n {
		line, above := pix[y*stride:][:n], pix[max(0, y-1)*stride:][:n]
		before := line[0]
		for x, v := range line {
			if v != above[x] {
				d.changes[1][y] = true
			}
			if v != before {
				d.changes[0][x] = true
			}
			if (v != before || x == 0) && len(d.levels) <= fewLevels && !slices.Contains(d.levels, v) {
				d.levels = append(d.levels, v)
			}
			before = v
		}
	}
	return d
}

// isDrawn reports whether no tile has more than a few levels.
func (s *survey) isDrawn() bool {
	return !slices.ContainsFunc(s.doubled, func(d doubled) bool { return len(d.levels) > fewLevels })
}

// times is how many times each pixel stands beside and under itself: the largest
// number that all changes are a multiple of apart, if it is one both ways; 1 if
// there is none.
func (s *survey) times() int {
	var n [2]int
	for d, along := range [2]span{s.across, s.down} {
		first := -1
		for i, tile := range s.doubled {
			from := along.at([2]int{i % s.columns, i / s.columns}[d])
			for x, changed := range tile.changes[d] {
				switch {
				case !changed:
				case first < 0:
					first = from + x
				default:
					n[d] = divisor(n[d], from+x-first)
				}
			}
		}
	}
	if n[0] == n[1] {
		return max(1, n[0])
	}
	return 1
}

// divisor is the greatest common one.
func divisor(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return max(a, -a)
}
