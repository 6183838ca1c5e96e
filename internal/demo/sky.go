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
