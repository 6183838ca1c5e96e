package demo

// camera is a level camera over flat ground: distances in metres, screen in picture heights.
type camera struct {
	horizon float32 // v of the horizon
	centre  float32 // u of the optical axis
	focal   float32 // focal length in picture heights: 28 mm on a 24 mm high sensor is 1.17
	height  float32 // of the lens over the ground, metres
	focus   float32 // distance in focus, metres
	blur    float32 // blur radius of a point at infinity, picture heights
}

// ground is the point of the plane seen at (u, v), v below the horizon: x to the right and z away, metres.
func (c camera) ground(u, v float32) (x, z float32) {
	z = c.focal * c.height / max(v-c.horizon, 1e-5)
	return (u - c.centre) * z / c.focal, z
}

// screen is where the camera sees a point y metres above the plane.
func (c camera) screen(x, y, z float32) pt {
	return pt{c.centre + c.focal*x/z, c.horizon + c.focal*(c.height-y)/z}
}

// size is how large a metre at distance z appears, in picture heights.
func (c camera) size(z float32) float32 { return c.focal / z }

// softness is the radius of the circle of confusion at distance z: a thin lens's, blur·|1 - focus/z|.
func (c camera) softness(z float32) float32 { return c.blur * abs(1-c.focus/z) }
