package demo

// pt is a point of the picture, in picture heights, v down.
type pt struct{ u, v float32 }

// A stroke is a tapered curve: a blade of grass, a stem, a twig. Lengths are in picture heights.
type stroke struct {
	root, bend, tip pt      // a quadratic Bézier
	thick, thin     float32 // half-widths at the root and at the tip
	soft            float32 // how far out of focus: the radius of the blur
	from, to        rgb     // colours at the root and at the tip
	roll            float32 // -1..1: how much brighter its right side is than its left
	joints          float32 // swellings along it, for glasswort; 0 for smooth stems
	opacity         float32
	foot            float32 // v of the ground under it, about which water mirrors it
	leaf            bool    // narrow at the root, where it leaves a stem
	flat            bool    // straight and sawn off square, where others have round ends
	reflected       bool    // seen only in water
}

// strokes is a layer of strokes, sorted once into the tiles they touch, in painting order.
type strokes struct {
	all    []stroke
	byTile [][]int32
}

func newStrokes(f frame, all []stroke) *strokes {
	s := &strokes{all: all, byTile: make([][]int32, f.tiles())}
	cols, rows := f.columns(), f.tiles()/f.columns()
	scale := float32(f.h) / tileSide
	for i := range all {
		lo, hi := all[i].bounds(f.pixel() * (rim + 1))
		x0, x1 := max(floor(lo.u*scale), 0), min(floor(hi.u*scale), cols-1)
		y0, y1 := max(floor(lo.v*scale), 0), min(floor(hi.v*scale), rows-1)
		for y := y0; y <= y1; y++ {
			for x := x0; x <= x1; x++ {
				s.byTile[y*cols+x] = append(s.byTile[y*cols+x], int32(i))
			}
		}
	}
	return s
}

// bounds returns the box of the curve's control points, which holds the curve, widened by its thickness.
func (s *stroke) bounds(margin float32) (lo, hi pt) {
	r := max(s.thick, s.thin)*widest + s.soft + margin
	lo = pt{min(s.root.u, s.bend.u, s.tip.u) - r, min(s.root.v, s.bend.v, s.tip.v) - r}
	hi = pt{max(s.root.u, s.bend.u, s.tip.u) + r, max(s.root.v, s.bend.v, s.tip.v) + r}
	return lo, hi
}

func (s *strokes) paint(t *tile) {
	for _, i := range s.byTile[t.number] {
		if stroke := &s.all[i]; t.wet || !stroke.reflected {
			t.brush.draw(t, stroke)
		}
	}
}

// along returns the curve at t in 0..1.
func (s *stroke) along(t float32) pt {
	a, b, c := (1-t)*(1-t), 2*t*(1-t), t*t
	return pt{a*s.root.u + b*s.bend.u + c*s.tip.u, a*s.root.v + b*s.bend.v + c*s.tip.v}
}

// taper returns the half-width at t, joints aside: full for most of the length, as a leaf is.
func (s *stroke) taper(t float32) float32 {
	w := s.thick + (s.thin-s.thick)*t*t
	if s.leaf {
		w *= min(0.35+4*t, 1)
	}
	return w
}

// swell returns 0 in the joints and 1 half-way between them.
func (s *stroke) swell(t float32) float32 {
	f := t * s.joints
	f -= float32(int(f))
	return 4 * f * (1 - f)
}

// light returns a stem's shading: rounder to one side, darker in the joints.
func (s *stroke) light(t, side float32) float32 {
	l := 1 + s.roll*side*0.8
	if s.joints > 0 {
		l *= 0.6 + 0.5*s.swell(t)
	}
	return max(l, 0.05)
}

// The girth of a jointed stem in its joints and between them, to that of a smooth one.
const narrowest, widest = 0.72, 1.22

// joint is a point along a stroke, in tile pixels.
type joint struct{ x, y, half, t float32 }

func (s *stroke) jointAt(t *tile, at float32) joint {
	p := s.along(at)
	scale := float32(t.h)
	return joint{p.u*scale - float32(t.x0), p.v*scale - float32(t.y0), s.taper(at) * scale, at}
}

// pieces returns how many straight pieces keep a curve smooth: the more it bends and the larger it is.
func pieces(s *stroke, scale float32) int {
	if s.flat {
		return 1
	}
	sagU := (s.root.u + s.tip.u - 2*s.bend.u) * scale
	sagV := (s.root.v + s.tip.v - 2*s.bend.v) * scale
	return min(1+int(sqrt(abs(sagU)+abs(sagV))), 40)
}

// A piece is a straight part of a stroke, from a to c, in tile pixels.
type piece struct {
	*stroke
	a, c              joint
	dx, dy            float32 // from a to c
	length, perLength float32
	soft, perSoft     float32 // radius of the blur, at least half a pixel; 1/(2 soft)
	reach             float32 // how far from its line a piece can show
}

func newPiece(s *stroke, a, c joint, soft float32) piece {
	dx, dy := c.x-a.x, c.y-a.y
	length := sqrt(dx*dx + dy*dy)
	return piece{
		stroke: s, a: a, c: c, dx: dx, dy: dy, length: length, perLength: 1 / length,
		soft: soft, perSoft: 1 / (2 * soft), reach: max(a.half, c.half)*widest + soft,
	}
}

// cover returns how much of a pixel the piece covers, which part of the stroke that is, and its half-width there.
// The pixel is (px, py) from a, and across from the line.
func (p *piece) cover(px, py, across float32) (cover, at, half float32) {
	along := (px*p.dx + py*p.dy) * p.perLength * p.perLength
	apart, end := abs(across), float32(1)
	switch {
	case p.flat:
		end = clamp01(0.5 - max(-along, along-1)*p.length*p.perSoft)
		along = clamp01(along)
	case along < 0:
		along, apart = 0, sqrt(px*px+py*py)
	case along > 1:
		along, apart = 1, sqrt((px-p.dx)*(px-p.dx)+(py-p.dy)*(py-p.dy))
	}
	at, half = mix(p.a.t, p.c.t, along), mix(p.a.half, p.c.half, along)
	if p.joints > 0 {
		half *= mix(narrowest, widest, p.swell(at))
	}
	// A line 2*half wide seen through a box 2*soft wide: exact for a straight edge, and right in total for a
	// hair thinner than a pixel.
	return (min(apart+p.soft, half) - max(apart-p.soft, -half)) * p.perSoft * end, at, half
}

// columns bounds where the row at y crosses the piece: between the crossings of its two edges, and no further
// than its ends.
func (p *piece) columns(y float32, width int) (int, int) {
	lo, hi := min(0, p.dx), max(0, p.dx)
	if p.dy > 0.01 || p.dy < -0.01 {
		q0, q1 := (y-p.a.y-p.reach)/p.dy, (y-p.a.y+p.reach)/p.dy
		q0, q1 = clamp01(min(q0, q1)), clamp01(max(q0, q1))
		lo, hi = min(q0*p.dx, q1*p.dx), max(q0*p.dx, q1*p.dx)
	}
	return max(floor(p.a.x+lo-p.reach), 0), min(floor(p.a.x+hi+p.reach)+1, width)
}

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

// draw paints a stroke over what is on the tile.
func (b *brush) draw(t *tile, s *stroke) {
	scale := float32(t.h)
	n := pieces(s, scale)
	top, bottom := t.th, 0
	a := s.jointAt(t, 0)
	for i := 1; i <= n; i++ {
		c := s.jointAt(t, float32(i)/float32(n))
		y0, y1 := b.lay(t, newPiece(s, a, c, max(0.5, s.soft*scale)))
		top, bottom = min(top, y0), max(bottom, y1)
		a = c
	}
	for y := top; y < bottom; y++ {
		b.paintRow(t, s, y)
	}
}

// lay puts a piece into the mask and returns the rows it touched, [top, bottom).
func (b *brush) lay(t *tile, p piece) (top, bottom int) {
	top = max(floor(min(p.a.y, p.c.y)-p.reach), 0)
	bottom = min(floor(max(p.a.y, p.c.y)+p.reach)+1, t.th)
	if p.length < 1e-6 || max(p.a.x, p.c.x)+p.reach < 0 || min(p.a.x, p.c.x)-p.reach > float32(t.tw) {
		return t.th, 0
	}
	for y := top; y < bottom; y++ {
		if x0, x1 := p.columns(float32(y)+0.5, t.tw); x0 < x1 {
			b.left[y], b.right[y] = min(b.left[y], x0), max(b.right[y], x1)
			b.layRow(&p, y, y*t.tw, x0, x1)
		}
	}
	return top, bottom
}

// layRow puts a row of a piece into the mask; first is where the row begins in it.
func (b *brush) layRow(p *piece, y, first, x0, x1 int) {
	py := float32(y) + 0.5 - p.a.y
	for x := x0; x < x1; x++ {
		px := float32(x) + 0.5 - p.a.x
		across := (px*p.dy - py*p.dx) * p.perLength
		if abs(across) >= p.reach {
			continue
		}
		cover, at, half := p.cover(px, py, across)
		if i := first + x; cover > b.cover[i] {
			b.cover[i], b.t[i] = cover, at
			b.side[i] = across / (half + p.soft)
		}
	}
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
