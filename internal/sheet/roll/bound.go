package roll

// bound is a length in units that no layout goes below, the larger of two:
//
//   - area: the cells' area spread over the width that a row can fill;
//   - stack: cells wider than half the strip in every way they may lie are never
//     beside each other, so their heights add up.
//
// Both in as few runs as that needs. Zero when there is nothing to pack.
func (t *task) bound() int64 {
	if len(t.cells) == 0 {
		return 0
	}
	var stack, tallest int64
	for _, c := range t.cells {
		low := c.lowest()
		tallest = max(tallest, low)
		if c.narrowest() > t.width/2 {
			stack += low
		}
	}
	height := max(ceilDiv(t.area(), t.rowWidth()), stack, tallest)
	runs := ceilDiv(height, t.most)
	return height + runs*t.perRun
}

// lowest is the least height that the cell can take on the strip.
func (c cell) lowest() int64 {
	switch {
	case c.upright && c.turned:
		return min(c.w, c.h)
	case c.turned:
		return c.w
	}
	return c.h
}

// narrowest is the least width.
func (c cell) narrowest() int64 {
	switch {
	case c.upright && c.turned:
		return min(c.w, c.h)
	case c.turned:
		return c.h
	}
	return c.w
}

func ceilDiv(a, b int64) int64 { return (a + b - 1) / b }
