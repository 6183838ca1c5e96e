package roll

import (
	"cmp"
	"slices"
)

// A part is what is left of a run after some cuts, in millimetres, with its pieces.
type part struct {
	x0, y0, x1, y1 float64
	pieces         []Piece
}

// touching, in millimetres, is the distance within which edges count as equal, because of
// rounding errors of float64. A print within flush of its part's edge needs no trimming:
// flush is between the rounding to units and a gap of two.
const (
	touching = 1e-6
	flush    = 1.75 / perMM
)

// cut gives a run its cuts in a trimmer's order: across the roll first, from the leading
// end, then each part along, and so on. They go through the middle of gaps, or half a gap
// beyond a print where there is more room.
func (r *Run) cut(gap float64) {
	if !r.cutPart(part{0, 0, r.WidthMM, r.LengthMM, r.Pieces}, gap, true) {
		panic("roll: no cut from edge to edge parts these prints") // cannot happen: a filler always leaves one
	}
}

// cutPart cuts until each piece is on a part of its own. It reports whether cuts from edge
// to edge can do that.
func (r *Run) cutPart(p part, gap float64, across bool) bool {
	if len(p.pieces) == 1 {
		r.Trims += p.trims()
		return true
	}
	cuts, parts := p.split(gap, across)
	if len(cuts) == 0 {
		across = !across
		if cuts, parts = p.split(gap, across); len(cuts) == 0 {
			return false
		}
	}
	for _, c := range cuts {
		c.Number = len(r.Cuts) + 1
		r.Cuts = append(r.Cuts, c)
	}
	return !slices.ContainsFunc(parts, func(p part) bool { return !r.cutPart(p, gap, !across) })
}

// split makes every cut of one direction that goes through no piece and has pieces on both
// sides.
func (p part) split(gap float64, across bool) (cuts []Cut, parts []part) {
	sorted := slices.Clone(p.pieces)
	slices.SortStableFunc(sorted, func(a, b Piece) int { return cmp.Compare(a.from(across), b.from(across)) })
	reach, begun := sorted[0].to(across), 0
	for k, piece := range sorted {
		if k > 0 && piece.from(across) >= reach+gap-touching {
			c, before, after := p.at(reach+float64(gap/2), across)
			before.pieces = sorted[begun:k]
			cuts, parts = append(cuts, c), append(parts, before)
			p, begun = after, k
		}
		reach = max(reach, piece.to(across))
	}
	p.pieces = sorted[begun:]
	return cuts, append(parts, p)
}

// at divides a part in two.
func (p part) at(at float64, across bool) (c Cut, before, after part) {
	before, after = p, p
	if across {
		before.y1, after.y0 = at, at
		return Cut{Direction: Across, AtMM: at, FromMM: p.x0, ToMM: p.x1, MeasureMM: at - p.y0}, before, after
	}
	before.x1, after.x0 = at, at
	return Cut{Direction: Along, AtMM: at, FromMM: p.y0, ToMM: p.y1, MeasureMM: at - p.x0}, before, after
}

// trims counts the sides of a part that do not yet lie on its piece's edge.
func (p part) trims() (n int) {
	q := p.pieces[0]
	for _, d := range [4]float64{q.X - p.x0, q.Y - p.y0, p.x1 - q.X - q.Width, p.y1 - q.Y - q.Height} {
		if d > flush {
			n++
		}
	}
	return n
}

// from and to return where a piece begins and ends: along the roll for a cut across.
func (p Piece) from(across bool) float64 {
	if across {
		return p.Y
	}
	return p.X
}

func (p Piece) to(across bool) float64 {
	if across {
		return p.Y + p.Height
	}
	return p.X + p.Width
}
