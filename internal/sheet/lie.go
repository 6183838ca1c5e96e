package sheet

import "math"

// A span is one direction of the paper, as one looks at the upright picture: its
// length, 0 where the roll gives as much as is needed but at most so much (0: any),
// and the margins at its two ends.
type span struct {
	length, most float64
	low, high    float64
}

// spans are the paper's two directions for a picture that lies upright or turned:
// see the package comment for how.
func (m Media) spans(g Margins, turned bool) (across, down span) {
	wide := span{length: m.WidthMM, low: g.LeftMM, high: g.RightMM}
	if turned {
		along := span{length: m.LengthMM, most: m.MaxLengthMM, low: g.TrailingMM, high: g.LeadingMM}
		return along, wide
	}
	along := span{length: m.LengthMM, most: m.MaxLengthMM, low: g.LeadingMM, high: g.TrailingMM}
	return wide, along
}

// An extent is a piece in one direction: the picture's side, what must be printable
// and what must be on the paper before and after it, and the most that an outer size
// has room for (0: any).
type extent struct {
	picture                     float64
	contentBefore, contentAfter float64
	outerBefore, outerAfter     float64
	room                        float64
}

func (p piece) across() extent {
	return extent{
		p.picture.Width, -p.content.X, p.content.Right() - p.picture.Width,
		-p.outer.X, p.outer.Right() - p.picture.Width, p.roomWidth,
	}
}

func (p piece) down() extent {
	return extent{
		p.picture.Height, -p.content.Y, p.content.Bottom() - p.picture.Height,
		-p.outer.Y, p.outer.Bottom() - p.picture.Height, p.roomHeight,
	}
}

// middle is the outer size's centre, from the picture's edge.
func (e extent) middle() float64 {
	return float64((e.picture + e.outerAfter - e.outerBefore) / 2)
}

// A place is where a piece lies in one direction.
type place struct {
	at     float64 // the picture's nearer edge, from the paper's
	length float64 // of the paper
	excess float64 // by how much the picture is too large, 0 when it fits
	moved  float64 // from where it was asked for
}

// lie places an extent in a span. Raise is a share of what is free.
func (s span) lie(e extent, o Options, raise float64) place {
	before := max(s.low+e.contentBefore, e.outerBefore)
	after := max(s.high+e.contentAfter, e.outerAfter)
	least := before + e.picture + after
	length := s.length
	if length == 0 {
		length = s.cut(e, least, before, after, o)
	}
	p := place{length: length, excess: max(0, least-length)}
	if s.length == 0 && s.most > 0 {
		p.excess = max(0, least-s.most)
	}
	if e.room > 0 {
		p.excess = max(p.excess, e.picture-e.room)
	}
	middle := float64(length / 2)
	if o.Placement == OnPrintable {
		middle = float64((s.low + length - s.high) / 2)
	}
	free := max(0, length-e.picture-e.outerBefore-e.outerAfter)
	asked := middle - e.middle() - float64(raise*free)
	p.at = asked
	if least <= length+hair {
		p.at = min(max(asked, before), max(before, length-after-e.picture))
	}
	p.moved = p.at - asked
	if math.Abs(p.moved) < hair {
		p.moved = 0
	}
	return p
}

// cut is the length that is cut from a roll: the least, but so much that what is
// not trimmed lies in the middle, if the longest run allows it.
func (s span) cut(e extent, least, before, after float64, o Options) float64 {
	if o.trims() || o.Placement == OnPrintable {
		return least
	}
	even := 2 * max(before+e.middle(), after+e.picture-e.middle())
	if s.most > 0 && even > s.most {
		return least
	}
	return even
}

// A lying is a piece on its paper, seen with the picture upright.
type lying struct {
	turned       bool
	piece        piece
	across, down place
	margins      Margins
}

// lie places a picture on the media one way round.
func lie(width, height float64, m Media, o Options, turned bool) lying {
	g := m.Margins.with(m.Modes[o.Mode])
	p := newPiece(width, height, o)
	x, y := m.spans(g, turned)
	raise := o.RaiseShare
	if o.trims() {
		raise = 0
	}
	return lying{turned, p, x.lie(p.across(), o, 0), y.lie(p.down(), o, raise), g}
}

func (l lying) fits() bool { return l.across.excess <= hair && l.down.excess <= hair }

// along is how much of a roll it takes.
func (l lying) along() float64 {
	if l.turned {
		return l.across.length
	}
	return l.down.length
}

// A choice is a picture both ways round.
type choice struct {
	upright, turned lying
	taken           lying
	largest         *Extent // where neither fits; of the way taken
}

// choose lies a picture on the media: on a roll the way that takes less of it, on
// a sheet upright if that fits, and turned if only that does. Where nothing fits, the
// way that has room for more.
func choose(width, height float64, m Media, o Options) choice {
	c := choice{upright: lie(width, height, m, o, false), turned: lie(width, height, m, o, true)}
	switch up, on := c.upright.fits(), c.turned.fits(); {
	case up && on && m.Kind == Roll && c.turned.along() < c.upright.along()-hair, on && !up:
		c.taken = c.turned
	case up:
		c.taken = c.upright
	default:
		a, b := largest(width, height, m, o, false), largest(width, height, m, o, true)
		c.taken, c.largest = c.upright, &a
		if b.WidthMM > a.WidthMM {
			c.taken, c.largest = c.turned, &b
		}
	}
	return c
}

// largest is the largest picture of the same shape that fits this way round, its
// longer side to a tenth of a millimetre; 0 by 0 when none does. What is around it
// is kept.
func largest(width, height float64, m Media, o Options, turned bool) Extent {
	longer := max(width, height)
	scaled := func(tenths int) (w, h float64) {
		side := float64(tenths) / 10
		return width * side / longer, height * side / longer
	}
	lo, hi := 0, int(math.Floor(longer*10))
	for lo < hi {
		mid := (lo + hi + 1) / 2
		w, h := scaled(mid)
		if lie(w, h, m, o, turned).fits() && o.reflects(w, h) {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	w, h := scaled(lo)
	return Extent{tidy(w), tidy(h)}
}

// reflects tells whether a picture is large enough for what is reflected from it.
func (o Options) reflects(width, height float64) bool {
	return o.Bleed != Reflect || o.WrapMM+o.BleedMM <= min(width, height)
}
