package demo

import (
	"math/rand/v2"
)

// A sky is a smooth gradient over elevation, a low sun's glow and high thin cloud.
type sky struct {
	colours *ramp   // from the horizon, 0, to the top of the ramp
	reach   float32 // elevation at the top of the ramp, picture heights
	sun     pt      // where it is: u, and elevation above the horizon
	glow    rgb     // added at the sun, dying away with distance
	spread  float32 // how wide the glow is, picture heights
	disc    float32 // radius of the sun or moon, 0 for none
	face    rgb     // and its light
	lit     rgb     // cloud towards the sun
	shaded  rgb     // cloud away from it
	clouds  *cirrus // nil for a clear sky
}

// at returns the light from elevation e above the horizon (picture heights, may be a little below) at u.
func (s *sky) at(u, e float32) rgb {
	c := s.colours.at(sqrt(max(e, 0) / s.reach))
	du, de := u-s.sun.u, e-s.sun.v
	near := fadeOut(sqrt(du*du*0.45+de*de) / s.spread)
	c = c.plus(s.glow.times(near * near))
	if s.clouds != nil && e > 0 {
		c = c.to(s.shaded.to(s.lit, near), s.clouds.at(u, e))
	}
	if s.disc > 0 {
		r := sqrt(du*du + de*de)
		c = c.plus(s.face.times(smoothstep(s.disc*1.04, s.disc*0.96, r)))
	}
	return c
}

// field fills the picture above the horizon.
func (s *sky) field(horizon float32) field {
	return func(v float32) func(float32, rgb) rgb {
		if v > horizon+0.01 {
			return nil
		}
		return func(u float32, _ rgb) rgb { return s.at(u, horizon-v) }
	}
}

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

// newCirrus returns the cloud over a picture aspect wide, seen from under u = middle. amount is the thickest, 0..1;
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

// streaks returns cloud on a plane overhead, drawn out by the wind, so that it crowds towards the horizon.
func streaks(u, e float32, drift pt) float32 {
	depth := 1 / (e + 0.09)
	x, y := u*depth*0.55+drift.u, depth*0.9+drift.v
	warp := value(x*0.8, y*0.8)
	return smoothstep(0.02, 0.75, fbm(x*0.9+warp*0.9+y*0.35, y*1.9-warp*0.7, 5))
}

// at returns the thickness at u and elevation e, both in picture heights.
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

// skein returns geese in an uneven V, each two short strokes; size is a wing's length.
func skein(rnd *rand.Rand, lead pt, size float32) []stroke {
	var all []stroke
	for i := range 19 {
		k := float32((i + 1) / 2)
		arm := float32(1)
		if i%2 == 1 {
			arm = -0.45
		}
		at := pt{lead.u + k*size*2.1 + size*0.3*float32(rnd.NormFloat64()), lead.v + arm*k*size*0.75 + size*0.2*float32(rnd.NormFloat64())}
		beat := size * (0.15 + 0.4*rnd.Float32())
		for _, way := range []float32{-1, 1} {
			all = append(all, stroke{
				root: at, bend: pt{at.u + way*size*0.2, at.v - beat*1.3}, tip: pt{at.u + way*size*0.5, at.v - beat*0.4},
				thick: size * 0.07, thin: size * 0.02, soft: size * 0.02, from: hex(0x120d14), to: hex(0x1c141a), opacity: 0.9,
			})
		}
	}
	return all
}
