package demo

import (
	"math/rand/v2"
)

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

// brink returns where the grass begins, in metres from the water: here it overhangs, there the bank is bare.
func (m *marsh) brink(x, z float32) float32 {
	return m.bank * (1 + 0.012*z) * (0.85 + 1.5*value(x*0.33+7, z*0.2))
}

// grass returns how tall grass grows at a place: none in the water or on bare mud, full a little way up, in
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

// land returns the bank and the ground beyond it, and how much of it is a film of water.
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

// mirror returns the water of a row: the sky's image, less of it where one looks down into the water, drawn out by
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

// A coast says where the water is. It is asked at one distance z for a function of x and of the octaves
// of raggedness worth drawing: the distance in metres from the water's edge, negative in the water.
type coast func(z float32) func(x float32, octaves int) float32

// A creek winds away over flat ground. Its bends are even in the logarithm of distance, so that they look even
// in the picture.
type creek struct {
	sway  float32 // how far it swings to each side, per metre of distance
	turn  float32 // bends, radians per unit of log distance
	phase float32
	width float32 // half-width of the water close by, metres
	widen float32 // more of it for each metre of distance
}

// coast returns the creek's banks, ragged by half a metre where they are near enough to see.
func (c creek) coast(z float32) func(x float32, octaves int) float32 {
	arg := c.turn*log(z) + c.phase
	s, k := sin(arg), cos(arg)
	middle, half := c.sway*z*s, c.width+c.widen*z
	slant := c.sway * (s + c.turn*k)
	upright := 1 / sqrt(1+slant*slant) // turns a distance along x into one from the bank
	return func(x float32, octaves int) float32 {
		d := abs(x-middle)*upright - half
		if d > 2.6+0.02*z || d < -1.2 {
			return d
		}
		return d + 0.5*fbm(x*0.9, z*0.9, octaves) + 0.6*fbm(x*0.21, z*0.12, 2)
	}
}

// pools is flooded saltings: islands of grass in open water.
type pools struct {
	size     float32 // metres
	land     float32 // -1 nearly all water, 1 nearly all land
	from, to float32 // the share of land grows from one distance to the other, metres
	drift    float32 // which part of the noise
}

func (p pools) coast(z float32) func(x float32, octaves int) float32 {
	share := p.land * smoothstep(p.from, p.to, z)
	return func(x float32, octaves int) float32 {
		x, y := x/p.size+p.drift, z/p.size*0.6
		level := fbm(x, y, 2) + share - 0.25
		if near := smoothstep(0.2, 0.08, abs(level)); near > 0 {
			level += 0.1 * near * fbm(x*5, y*5, octaves)
		}
		return p.size * 0.8 * level
	}
}

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

// bumps returns the height of the mud: soft heaps with a fine crumb, about -1..1.
func (m mud) bumps(x, z float32, octaves int) float32 {
	return fbm(x*2.3+11, z*2.3, octaves) + 0.35*value(x*0.8, z*0.8)
}

// rippledMud is bare ground shaped by running water.
type rippledMud struct {
	camera
	drift    float32 // which part of the noise
	dry, wet rgb
}

// height returns the bed's height, about -1..1: ripple marks about 9 cm apart, bent and forked by the noise, on
// broad heaps, cut by runnels, with a fine crumb.
func (m rippledMud) height(x, z float32, octaves int) float32 {
	x += m.drift
	bend := fbm(x*0.9, z*0.9, 3)
	wave := sin((z*1.05+x*0.22)*70 + bend*9 + 2.2*value(x*3.1, z*3.1))
	heap := 0.9*fbm(x*0.55+5, z*0.55, 3) + 0.35*bend
	cut := smoothstep(0.72, 0.98, ridged(x*0.42+2.3+0.25*bend, z*0.3+7.7, 3))
	crumb := 0.2 * fbm(x*16, z*16, octaves)
	if octaves > 4 { // close by, single grains
		crumb += 0.10 * fbm(x*130, z*130, octaves-4)
	}
	return (0.30+0.25*value(x*1.7, z*1.7))*wave*(1-cut) + heap - 1.1*cut + crumb
}

func (m rippledMud) layer(f frame, air *sky) layer {
	px := f.pixel()
	return relief{
		height: func(v float32) func(u float32) float32 {
			_, z := m.ground(0, v)
			octaves := octavesFor(16, px*z/m.focal, 7)
			return func(u float32) float32 { return m.height((u-m.centre)*z/m.focal, z, octaves) }
		},
		shade: func(v float32) func(u, h, across, down float32) rgb {
			_, z := m.ground(0, v)
			// From slopes on the picture to slopes on the ground, over slopeStep metres.
			perAcross := slopeStep * m.focal / z
			perDown := slopeStep * m.focal * m.camera.height / (z * z)
			return func(u, h, across, down float32) rgb {
				return m.shade(air, pt{u, v - m.horizon}, h, across*perAcross, down*perDown)
			}
		},
	}
}

var lowSun, skylight = hex(0xffe2bd), hex(0x3c4a60)

// slopeStep is the distance, in metres, over which shade reckons slopes.
const slopeStep = 0.004

// shade lights the mud from the left and from beyond. across is how much it rises to the right and down how
// much it rises towards the camera, over slopeStep; at.v is how far below the horizon it is seen.
func (m rippledMud) shade(air *sky, at pt, h, across, down float32) rgb {
	wetness := smoothstep(0.55, -0.45, h)
	light := clamp01(0.30 - 2.6*across - 1.7*down + 0.1*h)
	c := m.dry.to(m.wet, wetness*0.75).tint(lowSun.times(3.4 * light).plus(skylight))
	// Wet slopes mirror the part of the sky they face; standing water mirrors it level.
	film := smoothstep(0.35, 0.95, wetness)
	shine := air.at(at.u-across*0.5, at.v*0.55+down*1.6)
	c = c.plus(shine.times((0.05 + 0.16*film) * max(1+3*down-1.5*across, 0)))
	pool := smoothstep(-0.62, -0.70, h)
	return c.to(air.at(at.u, at.v*0.8), pool*0.62)
}

// A post is an old timber standing in the water: weathered staves of uneven height, cracked, and dark with
// weed where the tide covers it.
type post struct {
	x, z        float32 // metres
	tall, girth float32 // height and half-width, metres
	lean        float32 // of its top to the right, metres
	wood, weed  rgb
	lit         float32 // -1 lit from the left, 1 from the right
}

// strokes draws the post, from the water up.
func (p post) strokes(rnd *rand.Rand, cam camera) []stroke {
	const staves = 11
	foot := cam.screen(p.x, 0, p.z)
	tide := p.tall * (0.32 + 0.08*rnd.Float32())
	var all []stroke
	for i := range staves {
		at := (float32(i)+0.5)/staves*2 - 1 // across the post, -1..1
		round := sqrt(1 - 0.85*at*at)
		tone := round * (0.55 + 0.6*p.lit*at + 0.3*rnd.Float32())
		top := p.tall * (1 - 0.05*rnd.Float32()*rnd.Float32() - 0.015*at*at)
		dx := at * p.girth
		// One looks down on the post, so the water meets it along half an oval.
		near := -p.girth * sqrt(1-at*at) * cam.height / p.z
		dry := p.wood.times(max(tone, 0.06) * 1.2)
		wet := p.weed.times(max(tone, 0.1) * (0.6 + 0.8*rnd.Float32()))
		all = append(all, p.stave(cam, dx, near, top, 1.35/staves, wet.to(dry, 0.5), dry))
		all = append(all, p.stave(cam, dx, near, tide*(0.8+0.35*rnd.Float32()), 1.35/staves, wet, wet.to(dry, 0.35)))
	}
	for range 16 {
		dx := (rnd.Float32()*2 - 1) * p.girth * 0.9
		low := p.tall * rnd.Float32()
		high := min(low+p.tall*0.35*rnd.Float32(), p.tall*0.96)
		s := p.stave(cam, dx, low, high, 0.02+0.05*rnd.Float32()*rnd.Float32(), p.wood.times(0.06), p.wood.times(0.1))
		s.opacity = 0.75
		all = append(all, s)
	}
	for i := range all {
		all[i].foot, all[i].soft = foot.v, all[i].soft+cam.softness(p.z)
	}
	return all
}

// stave returns an upright strip dx metres across from the middle of the post, wide a share of its girth.
func (p post) stave(cam camera, dx, low, high, wide float32, from, to rgb) stroke {
	at := func(y float32) pt { return cam.screen(p.x+dx+p.lean*y/p.tall, y, p.z) }
	thick := wide * p.girth * cam.size(p.z)
	return stroke{
		root: at(low), bend: at((low + high) / 2), tip: at(high), thick: thick, thin: thick,
		from: from, to: to, opacity: 1, flat: true,
	}
}
