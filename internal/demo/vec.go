package demo

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
