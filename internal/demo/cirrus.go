package demo

// cirrus is high thin cloud: its thickness, 0..1, over the sky. Cloud is soft, so it is worked out once on a
// coarse grid and read between the grid's points.
type cirrus struct {
	thickness     []float32
	columns, rows int
}

const (
	cirrusGrain = 400  // grid points to a picture height
	cirrusSide  = 0.1  // how far the grid goes beyond the picture's sides, for ripples to reflect
	cirrusTop   = 0.75 // and above the horizon, picture heights
)

// newCirrus is the cloud over a picture aspect wide, seen from under u = middle. amount is the thickest, 0..1;
// drift says which part of the noise is overhead.
func newCirrus(aspect, middle, amount float32, drift pt) *cirrus {
	c := &cirrus{columns: int((aspect+2*cirrusSide)*cirrusGrain) + 2, rows: cirrusGrain}
	c.thickness = make([]float32, c.columns*c.rows)
	for y := range c.rows {
		// Rows crowd towards the horizon as the cloud does.
		root := float32(y) / float32(c.rows-1)
		e := cirrusTop * root * root
		for x := range c.columns {
			u := float32(x)/cirrusGrain - cirrusSide
			c.thickness[y*c.columns+x] = amount * smoothstep(0, 0.06, e) * streaks(u-middle, e, drift)
		}
	}
	return c
}

// streaks is cloud on a plane overhead, drawn out by the wind, so that it crowds towards the horizon.
func streaks(u, e float32, drift pt) float32 {
	depth := 1 / (e + 0.09)
	x, y := u*depth*0.55+drift.u, depth*0.9+drift.v
	warp := value(x*0.8, y*0.8)
	return smoothstep(0.02, 0.75, fbm(x*0.9+warp*0.9+y*0.35, y*1.9-warp*0.7, 5))
}

// at is the thickness at u and elevation e, both in picture heights.
func (c *cirrus) at(u, e float32) float32 {
	x := min(max((u+cirrusSide)*cirrusGrain, 0), float32(c.columns)-1.001)
	y := sqrt(clamp01(e/cirrusTop)) * (float32(c.rows) - 1.001)
	xi, yi := int(x), int(y)
	i := yi*c.columns + xi
	fx := x - float32(xi)
	top := mix(c.thickness[i], c.thickness[i+1], fx)
	bottom := mix(c.thickness[i+c.columns], c.thickness[i+c.columns+1], fx)
	return mix(top, bottom, y-float32(yi))
}
