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
