package demo

// mud is wet ground lit from a low sun at one side: the colour of a point of a bumpy surface.
type mud struct {
	dry, wet rgb
	relief   float32 // how strongly slopes show
}

// at paints ground (x, z) in metres; wetness 0..1; sheen is the sky a level wet point would mirror. It also says
// how much of the point is a film of water.
func (m mud) at(x, z, wetness float32, sheen rgb, octaves int) (c rgb, film float32) {
	h := m.bumps(x, z, octaves)
	slope := h - m.bumps(x-0.035, z-0.02, octaves)
	c = m.dry.to(m.wet, clamp01(wetness-0.25*h))
	c = c.times(max(1+0.7*h+m.relief*slope, 0.08))
	// Level places hold a film of water, and so do hollows.
	film = 0.55 * smoothstep(0.25, 0.9, wetness-0.9*h-3*abs(slope))
	return c.to(sheen, film), film
}

// bumps is the height of the mud: soft heaps with a fine crumb, about -1..1.
func (m mud) bumps(x, z float32, octaves int) float32 {
	return fbm(x*2.3+11, z*2.3, octaves) + 0.35*value(x*0.8, z*0.8)
}
