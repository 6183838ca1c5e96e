package detail

import "math"

// House judgement, no source: which edges are well defined.
const (
	reach      = 6     // px to either side of an edge within which it must be alone
	along      = 3     // px to either end that it must go on straight
	margin     = 12    // px of a tile left to the kernels: reach, the second blur and the slope
	cell       = 26    // px: edges within one cell are one edge; a tile's inside is 4x4 cells
	leastSlope = 0.008 // per px after the second blur: a step of 0.05 at the softest
	overNoise  = 20    // times the noise of that slope
	opposed    = 0.2   // share of the slope that may turn back: the halo of a camera's own sharpening
	ripple     = 0.1   // share by which the slope may rise again on the way down
	fallen     = 0.5   // share that must not be left at reach
	bent       = 0.2   // share that the slope may point aside, as far off as along
)

// slopes is a tile's slope, before and after the second blur, per pixel.
type slopes struct {
	w, h           int
	x, y           []float32
	softX, softY   []float32
	soft, scratch  []float32 // the tile blurred, and what that needed
	least          float64   // soft slope of an edge that counts
	pixelLeastSq   float32   // square of the least of one pixel of it
	flankAllowance float32   // of noise, in soft slope
}

// isEdge reports whether the pixel at index p is the crest of a strong,
// straight edge with no other near it, and which way its slope points.
func (s *slopes) isEdge(p int) (nx, ny float32, ok bool) {
	gx, gy := s.softX[p], s.softY[p]
	sq := float32(gx*gx) + float32(gy*gy)
	if sq < s.pixelLeastSq || !s.isCrest(p, gx, gy, sq) {
		return 0, 0, false
	}
	m := float32(math.Sqrt(float64(sq)))
	nx, ny = gx/m, gy/m
	return nx, ny, s.isStraight(p, nx, ny, m) && s.isAlone(p, nx, ny, m) && s.isAlone(p, -nx, -ny, m)
}

// isCrest reports whether no neighbour up or down the slope is steeper.
func (s *slopes) isCrest(p int, gx, gy, sq float32) bool {
	const tan = 0.41421356 // of 22.5 degrees: the neighbour nearest the slope's direction
	ax, ay := max(gx, -gx), max(gy, -gy)
	step := 0
	if ax > tan*ay {
		step = sign(gx)
	}
	if ay > tan*ax {
		step += s.w * sign(gy)
	}
	up := float32(s.softX[p+step]*s.softX[p+step]) + float32(s.softY[p+step]*s.softY[p+step])
	down := float32(s.softX[p-step]*s.softX[p-step]) + float32(s.softY[p-step]*s.softY[p-step])
	return sq >= up && sq > down
}

func sign(v float32) int {
	if v < 0 {
		return -1
	}
	return 1
}

// isStraight reports whether the slope keeps its strength and direction along
// the edge.
func (s *slopes) isStraight(p int, nx, ny, m float32) bool {
	step := s.step(-ny, nx, along)
	for _, q := range [2]int{p + step, p - step} {
		ahead := float32(s.softX[q]*nx) + float32(s.softY[q]*ny)
		aside := float32(s.softY[q]*nx) - float32(s.softX[q]*ny)
		if ahead < (1-2*bent)*m || max(aside, -aside) > bent*m {
			return false
		}
	}
	return true
}

// isAlone reports whether the slope dies away to the side (dx, dy) points to,
// without rising again or turning back.
func (s *slopes) isAlone(p int, dx, dy, m float32) bool {
	gx, gy := s.softX[p]/m, s.softY[p]/m
	lowest := m
	for t := 1; t <= reach; t++ {
		q := p + s.step(dx, dy, float32(t))
		v := float32(s.softX[q]*gx) + float32(s.softY[q]*gy)
		if v < float32(-opposed*m)-s.flankAllowance || v > lowest+float32(ripple*m)+s.flankAllowance {
			return false
		}
		lowest = min(lowest, v)
	}
	return lowest <= fallen*m
}

// step is how far in the index the pixel nearest to t times (dx, dy) lies.
func (s *slopes) step(dx, dy, t float32) int {
	return s.w*int(math.Round(float64(dy*t))) + int(math.Round(float64(dx*t)))
}
