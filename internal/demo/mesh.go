package demo

// corner is a mesh point: where it is seen, how near, and which way it faces.
type corner struct {
	at         vec // u, v in picture heights, z towards the eye in model units
	normal     vec
	theta, phi float32
}

// layer draws the mesh.
func (s *shell) layer(f frame) layer {
	rows := s.mesh()
	l := &shellLayer{shell: s, byTile: make([][]patch, f.tiles())}
	scale := float32(f.h) / tileSide
	margin := float32(rim+1) / tileSide
	for i := range len(rows) - 1 {
		for j := range len(rows[i]) - 1 {
			p := patch{&rows[i][j], &rows[i][j+1], &rows[i+1][j], &rows[i+1][j+1]}
			lo, hi := p.bounds()
			for y := max(floor(lo.v*scale-margin), 0); y <= min(floor(hi.v*scale+margin), f.tiles()/f.columns()-1); y++ {
				for x := max(floor(lo.u*scale-margin), 0); x <= min(floor(hi.u*scale+margin), f.columns()-1); x++ {
					l.byTile[y*f.columns()+x] = append(l.byTile[y*f.columns()+x], p)
				}
			}
		}
	}
	return l
}

// patch is one quadrilateral of the mesh.
type patch [4]*corner

func (p patch) bounds() (lo, hi pt) {
	lo, hi = pt{p[0].at.x, p[0].at.y}, pt{p[0].at.x, p[0].at.y}
	for _, c := range p[1:] {
		lo = pt{min(lo.u, c.at.x), min(lo.v, c.at.y)}
		hi = pt{max(hi.u, c.at.x), max(hi.v, c.at.y)}
	}
	return lo, hi
}

type shellLayer struct {
	*shell
	byTile [][]patch
}

// fine is how many samples a pixel has in each direction: the mesh has no coverage of its own.
const fine = 2

// sample is the nearest surface found so far at one place.
type sample struct {
	near       float32
	normal     vec
	theta, phi float32
}

func (l *shellLayer) paint(t *tile) {
	patches := l.byTile[t.number]
	if len(patches) == 0 {
		return
	}
	buffer := make([]sample, t.tw*t.th*fine*fine)
	for i := range buffer {
		buffer[i].near = -1e9
	}
	for _, p := range patches {
		t.fill(buffer, p[0], p[1], p[2])
		t.fill(buffer, p[1], p[3], p[2])
	}
	for i := range t.tw * t.th {
		var sum rgb
		var covered float32
		for k := range fine * fine {
			x, y := i%t.tw*fine+k%fine, i/t.tw*fine+k/fine
			if s := &buffer[y*t.tw*fine+x]; s.near > -1e8 {
				sum = sum.plus(l.shade(s))
				covered++
			}
		}
		if covered > 0 {
			t.pix[i] = t.pix[i].to(sum.times(1/covered), covered/(fine*fine))
		}
	}
}

// fill draws a triangle into the depth buffer.
func (t *tile) fill(buffer []sample, a, b, c *corner) {
	scale := float32(t.h) * fine
	ox, oy := float32(t.x0*fine), float32(t.y0*fine)
	ax, ay := a.at.x*scale-ox, a.at.y*scale-oy
	bx, by := b.at.x*scale-ox, b.at.y*scale-oy
	cx, cy := c.at.x*scale-ox, c.at.y*scale-oy
	area := (bx-ax)*(cy-ay) - (by-ay)*(cx-ax)
	if abs(area) < 1e-6 {
		return
	}
	wide, high := t.tw*fine, t.th*fine
	x0, x1 := max(floor(min(ax, bx, cx)), 0), min(floor(max(ax, bx, cx))+1, wide)
	y0, y1 := max(floor(min(ay, by, cy)), 0), min(floor(max(ay, by, cy))+1, high)
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			px, py := float32(x)+0.5, float32(y)+0.5
			wb := ((px-ax)*(cy-ay) - (py-ay)*(cx-ax)) / area
			wc := ((bx-ax)*(py-ay) - (by-ay)*(px-ax)) / area
			wa := 1 - wb - wc
			if wa < 0 || wb < 0 || wc < 0 {
				continue
			}
			near := wa*a.at.z + wb*b.at.z + wc*c.at.z
			if s := &buffer[y*wide+x]; near > s.near {
				s.near = near
				s.normal = a.normal.times(wa).plus(b.normal.times(wb)).plus(c.normal.times(wc))
				s.theta = wa*a.theta + wb*b.theta + wc*c.theta
				s.phi = wa*a.phi + wb*b.phi + wc*c.phi
			}
		}
	}
}
