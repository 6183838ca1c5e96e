package demo

// A marsh is the ground below the horizon: water that mirrors the sky, bare banks, and turf for a meadow to
// stand on.
type marsh struct {
	camera
	coast
	bank    float32 // width of bare mud along the water, metres
	mud     mud
	turf    rgb // the dark floor between the blades
	lawn    rgb // and what far grass blends to
	haze    haze
	ripples float32 // 0 a mirror, 1 a breath of wind
}

// brink is where the grass begins, in metres from the water: here it overhangs, there the bank is bare.
func (m *marsh) brink(x, z float32) float32 {
	return m.bank * (1 + 0.012*z) * (0.85 + 1.5*value(x*0.33+7, z*0.2))
}

// grass is how tall grass grows at a place: none in the water or on bare mud, full a little way up, in
// drifts.
func (m *marsh) grass(x, z float32) float32 {
	d := m.coast(z)(x, 3) - m.brink(x, z)
	if d < 0 {
		return 0
	}
	drift := 0.75 + 0.75*fbm(x*0.35, z*0.16, 2) + 0.35*value(x*1.3, z*0.9)
	return smoothstep(-0.35, 0.7, d) * max(drift, 0.25)
}

// atEdge keeps the blades near enough to the water to be mirrored in it.
func (m *marsh) atEdge(all []stroke) []stroke {
	var out []stroke
	for _, s := range all {
		x, z := m.ground(s.root.u, s.foot)
		if m.coast(z)(x, 3) < m.bank*(1+0.01*z)+0.8+0.02*z {
			out = append(out, s)
		}
	}
	return out
}

// field paints everything below the horizon.
func (m *marsh) field(f frame, air *sky) waterField {
	px := f.pixel()
	return func(v float32) func(float32, rgb) (rgb, float32) {
		if v <= m.horizon {
			return nil
		}
		_, z := m.ground(0, v)
		shore, mirror := m.coast(z), m.mirror(air, v, z)
		octaves := octavesFor(2.3, px*z/m.focal*2.5, 8)
		soft := 0.02 + z*z/(m.focal*m.height)*px // the edge blends over a pixel's depth on the ground
		haze := m.haze.share(z)
		return func(u float32, _ rgb) (rgb, float32) {
			x := (u - m.centre) * z / m.focal
			d := shore(x, octaves)
			edge := smoothstep(-soft, soft, d)
			var water, land rgb
			var film float32
			if edge < 1 {
				water = mirror(u, x)
			}
			if edge > 0 {
				land, film = m.land(air, pt{u, v}, x, z, d, octaves)
				land = land.to(m.haze.colour, haze)
			}
			return water.to(land, edge), mix(1, film, edge)
		}
	}
}

// land is the bank and the ground beyond it, and how much of it is a film of water.
func (m *marsh) land(air *sky, at pt, x, z, shore float32, octaves int) (c rgb, film float32) {
	turf := m.turf.to(m.lawn, smoothstep(6, 60, z))
	brink := m.brink(x, z)
	if shore >= brink+0.6 {
		return turf, 0
	}
	wetness := smoothstep(max(brink, 0.4)*1.1, 0, shore)
	c, film = m.mud.at(x, z, wetness, air.at(at.u, (at.v-m.horizon)*0.8), octaves)
	dry := smoothstep(brink-0.1, brink+0.5, shore)
	return c.to(turf, dry), film * (1 - dry)
}

// mirror is the water of a row: the sky's image, less of it where one looks down into the water, drawn out by
// ripples.
func (m *marsh) mirror(air *sky, v, z float32) func(u, x float32) rgb {
	e := v - m.horizon
	k := 1 - m.height/sqrt(m.height*m.height+z*z)
	reflect := clamp01(0.22 + 0.75*k*k)
	depths := m.mud.wet.times(0.8)
	return func(u, x float32) rgb {
		ripple := m.ripples * (fbm(x*1.3, z*4.5, 4) + 0.5*value(x*0.3, z*0.5))
		return depths.to(air.at(u+0.01*ripple*e, e*(0.9+0.2*ripple)+0.006*ripple), reflect)
	}
}
