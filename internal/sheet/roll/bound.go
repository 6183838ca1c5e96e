package roll

import "math/big"

// bound returns a length in units that no layout goes below, the larger of two:
//
//   - area: the cells' area divided by the width that a row can fill;
//   - stack: cells wider than half the strip in every allowed orientation are never beside
//     each other, so their heights add up.
//
// Both use the least number of runs. It is zero if there is nothing to pack.
func (t *task) bound() int64 {
	if len(t.cells) == 0 {
		return 0
	}
	var stack, tallest int64
	for _, c := range t.cells {
		narrow, low := c.least()
		tallest = max(tallest, low)
		if narrow > t.width/2 {
			stack += low
		}
	}
	height := max(ceilDiv(t.area(), t.rowWidth()), stack, tallest)
	return height + ceilDiv(height, t.most)*t.perRun
}

// least returns the least width and the least height of the cell on the strip.
func (c cell) least() (width, height int64) {
	switch {
	case !c.turned:
		return c.w, c.h
	case !c.upright:
		return c.h, c.w
	}
	return min(c.w, c.h), min(c.w, c.h)
}

func ceilDiv(a, b int64) int64 { return (a + b - 1) / b }

// rowWidth returns the most of the strip's width that cells beside each other can fill: the
// largest sum of sides, at most one of each cell, that is not wider than the strip. A line
// across the strip crosses no more cells than that, so the rest is lost along the whole
// length.
func (t *task) rowWidth() int64 {
	unit := t.unit()
	within := new(big.Int).Lsh(big.NewInt(1), uint(t.width/unit)+1)
	within.Sub(within, big.NewInt(1))
	sums := big.NewInt(1) // bit n is set where sides add up to n units
	for _, c := range t.cells {
		var with, turned big.Int
		if c.upright {
			with.Lsh(sums, uint(c.w/unit))
		}
		if c.turned {
			turned.Lsh(sums, uint(c.h/unit))
		}
		sums.Or(sums, with.Or(&with, &turned)).And(sums, within)
	}
	return int64(sums.BitLen()-1) * unit
}

// unit returns the greatest common divisor of all sides.
func (t *task) unit() int64 {
	var d big.Int
	for _, c := range t.cells {
		d.GCD(nil, nil, &d, big.NewInt(c.w)).GCD(nil, nil, &d, big.NewInt(c.h))
	}
	return d.Int64()
}
