package sheet

import "math"

// A span is one direction of the paper, with the picture upright. length is 0 for a roll,
// which is cut to what is needed, but to most at most (0: any). low and high are the
// margins at its two ends.
type span struct {
	length, most float64
	low, high    float64
}

// spans returns the paper's two directions for a picture that is upright or turned; see
// the package comment.
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
// before and after it, what must be on the paper before and after it, and the largest
// picture for which an outer size has room (0: any).
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

// middle returns the centre of the outer size, from the picture's edge.
func (e extent) middle() float64 {
	return float64((e.picture + e.outerAfter - e.outerBefore) / 2)
}

// A place is the position of a piece in one direction.
type place struct {
	at     float64 // of the picture's nearer edge, from the paper's edge
	length float64 // of the paper
	excess float64 // by how much the picture is too large; 0 if it fits
	moved  float64 // from the requested position
}

// lie places an extent in a span. raise is a share of the free length.
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

// cut returns the length to cut from a roll: the least, but enough to centre a print that
// is not trimmed, if the longest run allows that.
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

// A lying is a piece on its paper, with the picture upright.
type lying struct {
	turned       bool
	piece        piece
	across, down place
	margins      Margins
}

// lie places a picture on the media in one orientation.
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

// along returns the length of roll that it takes.
func (l lying) along() float64 {
	if l.turned {
		return l.across.length
	}
	return l.down.length
}

// A choice is a picture placed in both orientations.
type choice struct {
	upright, turned lying
	taken           lying
	largest         *Extent // if neither fits; for the orientation taken
}

// choose places a picture on the media: on a roll in the orientation that takes less of
// it, on a sheet upright if that fits and turned if only that does. If nothing fits it
// takes the orientation that has room for more.
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

// largest returns the largest picture of the same shape that fits in this orientation,
// with its longer side to a tenth of a millimetre; 0 by 0 if none does. What is around the
// picture stays the same.
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

// reflects reports whether a picture is large enough for the sides reflected from it.
func (o Options) reflects(width, height float64) bool {
	return o.Bleed != Reflect || o.WrapMM+o.BleedMM <= min(width, height)
}
