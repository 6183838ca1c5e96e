package roll

import (
	"cmp"
	"slices"
)

// A box is a part of a run in units of cells, with the spots on it.
type box struct {
	x0, y0, x1, y1 int64
	spots          []spot
}

// A line is a cut of a part, in units of cells. part is the extent before it.
type line struct {
	across bool
	at     int64
	part   box
}

// A cutter cuts a part until each spot is on a part of its own.
type cutter struct {
	task  *task
	lines []line
	parts []box // with one spot each
}

// part cuts from edge to edge and reports whether that could be done. The order is
// a trimmer's: across the roll first, from the leading end, then each part along,
// and so on.
func (c *cutter) part(b box, across bool) bool {
	if len(b.spots) < 2 {
		c.parts = append(c.parts, b)
		return true
	}
	lines, parts := c.task.cut(b, across)
	if len(lines) == 0 {
		across = !across
		if lines, parts = c.task.cut(b, across); len(lines) == 0 {
			return false
		}
	}
	c.lines = append(c.lines, lines...)
	for _, p := range parts {
		if !c.part(p, !across) {
			return false
		}
	}
	return true
}

// cut makes every cut of one direction that passes through no spot and has some on
// either side.
func (t *task) cut(part box, across bool) ([]line, []box) {
	sorted := slices.Clone(part.spots)
	slices.SortStableFunc(sorted, func(a, b spot) int { return cmp.Compare(a.from(across), b.from(across)) })
	var cuts []line
	var parts []box
	reach, begun := t.to(sorted[0], across), 0
	for k := 1; k < len(sorted); k++ {
		if sorted[k].from(across) >= reach {
			before, after := part.at(reach, across)
			cuts = append(cuts, line{across, reach, part})
			before.spots = sorted[begun:k]
			parts, part, begun = append(parts, before), after, k
		}
		reach = max(reach, t.to(sorted[k], across))
	}
	part.spots = sorted[begun:]
	return cuts, append(parts, part)
}

// at parts a box.
func (b box) at(at int64, across bool) (before, after box) {
	before, after = b, b
	if across {
		before.y1, after.y0 = at, at
	} else {
		before.x1, after.x0 = at, at
	}
	return before, after
}

// from is where a spot's cell begins and to where it ends, along the roll for a cut
// across.
func (s spot) from(across bool) int64 {
	if across {
		return s.y
	}
	return s.x
}

func (t *task) to(s spot, across bool) int64 {
	c, _ := t.cells[s.cell].way(s.turned)
	if across {
		return s.y + c.h
	}
	return s.x + c.w
}
