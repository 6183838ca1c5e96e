package demo

import "math"

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

// point is the surface at theta along the spiral (0 at the mouth, falling towards the tip) and phi around
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

// corner is one point of the mesh, its normal from two points close by.
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
