package demo

// The girth of a jointed stem in its joints and between them, to that of a smooth one.
const narrowest, widest = 0.72, 1.22

// joint is a point along a stroke, in tile pixels.
type joint struct{ x, y, half, t float32 }

func (s *stroke) jointAt(t *tile, at float32) joint {
	p := s.along(at)
	scale := float32(t.h)
	return joint{p.u*scale - float32(t.x0), p.v*scale - float32(t.y0), s.taper(at) * scale, at}
}

// pieces is how many straight pieces keep a curve smooth: the more it bends and the larger it is.
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

// cover is how much of a pixel the piece covers, which part of the stroke that is, and its half-width there.
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
