package demo

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

// at is the light from elevation e above the horizon (picture heights, may be a little below) at u.
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

// treeline is a far wood in haze along the horizon.
type treeline struct {
	horizon float32
	height  float32 // of the tallest trees, picture heights
	scale   float32 // trees across a picture height
	offset  float32
	colour  rgb
	haze    rgb // at its foot
	octaves int
}

func (w treeline) field() field {
	return func(v float32) func(float32, rgb) rgb {
		e := w.horizon - v
		if e > w.height*1.3 || e < -0.01 {
			return nil
		}
		return func(u float32, below rgb) rgb { return w.at(u, v, e, below) }
	}
}

func (w treeline) at(u, v, e float32, below rgb) rgb {
	x := u*w.scale + w.offset
	crowns := 0.45 + 0.35*fbm(x*0.22, 7.5, 3) + 0.5*abs(value(x, 3.5)) + 0.22*abs(value(x*2.7, 9.5))
	leaves := fbm(x*9, v*w.scale*9, w.octaves)
	// Where the wood opens there is only a hedge.
	open := smoothstep(-0.35, 0.2, value(x*0.09, 1.5))
	top := w.height * mix(0.12, crowns, open)
	cover := smoothstep(-0.06, 0.06, (top-e)/w.height+0.14*leaves)
	c := w.colour.to(w.haze, smoothstep(top+0.2*w.height, -0.1*w.height, e)*0.75)
	return below.to(c.times(1+0.25*leaves), cover)
}
