package demo

import (
	"math"
)

// A shell is a whelk: an oval swept along a spiral that grows by the same factor each turn (Raup's model of
// coiled shells, 1966), drawn as a mesh with a depth buffer.
type shell struct {
	centre pt      // of the picture, where the body whorl's middle comes
	size   float32 // picture heights for a unit of the model
	turns  float32
	growth float32    // from one turn to the next
	tilt   [3]float32 // how it lies, turned from tip up: radians about x, y and z
	light  vec        // towards the lamp
}

// point returns the surface at theta along the spiral (0 at the mouth, falling towards the tip) and phi around
// the tube. The axis is y, the tip at the origin.
func (s *shell) point(theta, phi float32) vec {
	grown := pow(s.growth, theta/(2*math.Pi))
	ribs := 1 + 0.008*cos(phi*22) + 0.035*max(0, cos(theta*5.5))*exp(-abs(sin((phi-0.5)/2))*2.2)
	across := 0.60 + 0.66*ribs*cos(phi)
	// Below the middle the oval is drawn out into the channel that a whelk breathes through.
	down := 1.72 - 0.80*ribs*sin(phi)
	if k := -sin(phi); k > 0 {
		down += 0.55 * k * k * k
	}
	return vec{across * cos(theta), down, across * sin(theta)}.times(grown)
}

// mesh samples the surface; rows run along the spiral.
func (s *shell) mesh() [][]corner {
	const around = 96
	along := int(s.turns * 140)
	rows := make([][]corner, along+1)
	for i := range rows {
		theta := -2 * math.Pi * s.turns * (1 - float32(i)/float32(along))
		rows[i] = make([]corner, around+1)
		for j := range rows[i] {
			rows[i][j] = s.corner(theta, 2*math.Pi*float32(j)/around)
		}
	}
	return rows
}

// corner returns one point of the mesh, its normal from two points close by.
func (s *shell) corner(theta, phi float32) corner {
	const step = 0.004
	p := s.point(theta, phi)
	n := s.point(theta+step, phi).minus(p).cross(s.point(theta, phi+step).minus(p)).unit()
	p.y -= 1.6 // turn about the body whorl rather than the tip
	p, n = p.turn(s.tilt), n.turn(s.tilt)
	return corner{vec{s.centre.u + p.x*s.size, s.centre.v + p.y*s.size, p.z}, n, theta, phi}
}

// shade lights the shell by one lamp; it has a little gloss.
func (l *shellLayer) shade(s *sample) rgb {
	n := s.normal.unit()
	if n.z < -0.25 { // the inside, seen through the mouth
		n = n.times(-1)
	}
	n.z = max(n.z, 0) // at the outline
	// Around the tube the noise runs on a circle, so that it meets itself.
	ring := pt{1.4 * cos(s.phi), 1.4 * sin(s.phi)}
	lines := 0.05*value(s.theta*70, ring.v+s.theta*4) + 0.08*value(s.theta*23, ring.u*0.5) + 0.035*cos(s.phi*90)
	lines += 0.28 * fbm(s.theta*9+ring.u*4, ring.v*4, 6)
	band := smoothstep(-0.1, 0.75, cos(3*s.phi+2.6)+0.9*fbm(ring.u*2+3, ring.v*2+s.theta*1.5, 4))
	skin := hex(0xd9c4a0).to(hex(0x7c4f30), band*0.8).times(1 + lines)
	lambert := max(n.dot(l.light), 0)
	half := l.light.plus(vec{0, 0, 1}).unit()
	gloss := pow(max(n.dot(half), 0), 28)
	bounce := max(-n.x*0.6+n.y*0.5, 0)
	edge := 1 - n.z
	c := skin.times(0.004 + 0.42*lambert + 0.57*lambert*lambert)
	c = c.plus(skin.tint(hex(0x7d93b4)).times(0.06 * bounce * (0.15 + edge*edge)))
	return c.plus(hex(0xfff2dc).times(0.16 * gloss))
}

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

// vec is a point or a direction in space: x to the right, y down, z towards the eye.
type vec struct{ x, y, z float32 }

func (a vec) dot(b vec) float32   { return a.x*b.x + a.y*b.y + a.z*b.z }
func (a vec) plus(b vec) vec      { return vec{a.x + b.x, a.y + b.y, a.z + b.z} }
func (a vec) minus(b vec) vec     { return vec{a.x - b.x, a.y - b.y, a.z - b.z} }
func (a vec) times(k float32) vec { return vec{a.x * k, a.y * k, a.z * k} }
func (a vec) cross(b vec) vec     { return vec{a.y*b.z - a.z*b.y, a.z*b.x - a.x*b.z, a.x*b.y - a.y*b.x} }
func (a vec) unit() vec           { return a.times(1 / sqrt(a.dot(a)+1e-20)) }

// turn rotates about the three axes in order, radians.
func (a vec) turn(by [3]float32) vec {
	s, c := sin(by[0]), cos(by[0])
	a = vec{a.x, a.y*c - a.z*s, a.y*s + a.z*c}
	s, c = sin(by[1]), cos(by[1])
	a = vec{a.x*c + a.z*s, a.y, a.z*c - a.x*s}
	s, c = sin(by[2]), cos(by[2])
	return vec{a.x*c - a.y*s, a.x*s + a.y*c, a.z}
}
