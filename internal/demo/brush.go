package demo

// brush draws strokes on a tile. It first lays a whole stroke into a mask and then paints through the mask
// once, so that a stroke's own pieces do not show where they overlap.
type brush struct {
	cover []float32 // how much of a pixel the stroke covers
	t     []float32 // how far along the stroke the pixel is, 0..1
	side  []float32 // how far across, -1..1
	left  []int     // by row: the touched columns are [left, right)
	right []int
}

func newBrush(pixels int) brush {
	b := brush{
		cover: make([]float32, pixels), t: make([]float32, pixels), side: make([]float32, pixels),
		left: make([]int, tileSide+2*rim), right: make([]int, tileSide+2*rim),
	}
	for y := range b.left {
		b.left[y] = tileSide + 2*rim
	}
	return b
}

// The girth of a jointed stem in its joints and between them, to that of a smooth one.
const narrowest, widest = 0.72, 1.22

// joint is a point along a stroke, in tile pixels.
type joint struct{ x, y, half, t float32 }

func (b *brush) draw(t *tile, s *stroke) {
	scale := float32(t.h)
	n := pieces(s, scale)
	top, bottom := t.th, 0
	a := b.jointAt(t, s, 0)
	for i := 1; i <= n; i++ {
		c := b.jointAt(t, s, float32(i)/float32(n))
		y0, y1 := b.lay(t, s, a, c)
		top, bottom = min(top, y0), max(bottom, y1)
		a = c
	}
	for y := top; y < bottom; y++ {
		b.paintRow(t, s, y)
	}
}

// pieces is how many straight pieces keep a curve smooth: the more it bends and the larger it is.
func pieces(s *stroke, scale float32) int {
	if s.flat {
		return 1
	}
	sagU := (s.root.u + s.tip.u - 2*s.bend.u) * scale
	sagV := (s.root.v + s.tip.v - 2*s.bend.v) * scale
	n := 1 + int(sqrt(abs(sagU)+abs(sagV)))
	return min(n, 40)
}

func (b *brush) jointAt(t *tile, s *stroke, at float32) joint {
	p := s.along(at)
	scale := float32(t.h)
	return joint{p.u*scale - float32(t.x0), p.v*scale - float32(t.y0), s.taper(at) * scale, at}
}

// lay puts one straight piece into the mask and returns the rows it touched.
func (b *brush) lay(t *tile, s *stroke, a, c joint) (top, bottom int) {
	soft := max(0.5, s.soft*float32(t.h))
	reach := max(a.half, c.half)*widest + soft
	top = max(floor(min(a.y, c.y)-reach), 0)
	bottom = min(floor(max(a.y, c.y)+reach)+1, t.th)
	dx, dy := c.x-a.x, c.y-a.y
	length2 := dx*dx + dy*dy
	if length2 < 1e-12 || max(a.x, c.x)+reach < 0 || min(a.x, c.x)-reach > float32(t.tw) {
		return t.th, 0
	}
	length := sqrt(length2)
	perLength2, perLength, perSoft := 1/length2, 1/length, 1/(2*soft)
	for y := top; y < bottom; y++ {
		py := float32(y) + 0.5 - a.y
		x0, x1 := b.columns(a, dx, dy, py, reach, t.tw)
		if x0 >= x1 {
			continue
		}
		b.left[y], b.right[y] = min(b.left[y], x0), max(b.right[y], x1)
		for x := x0; x < x1; x++ {
			px := float32(x) + 0.5 - a.x
			along := (px*dx + py*dy) * perLength2
			across := (px*dy - py*dx) * perLength
			apart := abs(across)
			if apart >= reach {
				continue
			}
			end := float32(1)
			switch {
			case along >= 0 && along <= 1 && !s.flat:
			case s.flat:
				end = clamp01(0.5 - max(-along, along-1)*length*perSoft)
				along = clamp01(along)
			case along < 0:
				along, apart = 0, sqrt(px*px+py*py)
			default:
				along, apart = 1, sqrt((px-dx)*(px-dx)+(py-dy)*(py-dy))
			}
			at, half := a.t+(c.t-a.t)*along, a.half+(c.half-a.half)*along
			if s.joints > 0 {
				half *= narrowest + (widest-narrowest)*s.swell(at)
			}
			// A line 2*half wide seen through a box 2*soft wide: exact for a straight edge, and right
			// in total for a hair thinner than a pixel.
			cover := (min(apart+soft, half) - max(apart-soft, -half)) * perSoft * end
			if i := y*t.tw + x; cover > b.cover[i] {
				b.cover[i] = cover
				b.t[i] = at
				b.side[i] = across / (half + soft)
			}
		}
	}
	return top, bottom
}

// columns bounds where a row crosses a piece: between the crossings of its two edges, and no further than
// its ends.
func (b *brush) columns(a joint, dx, dy, py, reach float32, width int) (int, int) {
	lo, hi := min(0, dx), max(0, dx)
	if dy > 0.01 || dy < -0.01 {
		q0, q1 := (py-reach)/dy, (py+reach)/dy
		q0, q1 = clamp01(min(q0, q1)), clamp01(max(q0, q1))
		lo, hi = min(q0*dx, q1*dx), max(q0*dx, q1*dx)
	}
	return max(floor(a.x+lo-reach), 0), min(floor(a.x+hi+reach)+1, width)
}

// paintRow paints one row through the mask and leaves the mask empty.
func (b *brush) paintRow(t *tile, s *stroke, y int) {
	for i := y*t.tw + b.left[y]; i < y*t.tw+b.right[y]; i++ {
		cover := b.cover[i]
		if cover == 0 {
			continue
		}
		b.cover[i] = 0
		if s.reflected {
			cover *= t.water[i]
		}
		c := s.from.to(s.to, b.t[i]).times(s.light(b.t[i], b.side[i]))
		t.pix[i] = t.pix[i].to(c, cover*s.opacity)
	}
	b.left[y], b.right[y] = tileSide+2*rim, 0
}
