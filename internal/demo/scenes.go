package demo

import (
	"math/rand/v2"
)

// dawn is the wall piece: a tidal creek winding through cord-grass to a hazed wood, the sun just up. Fine
// grass at every size, a smooth sky and its reflection, wet brown banks.
func dawn(salt uint64) scene {
	return func(f frame) []layer {
		rnd := rand.New(rand.NewPCG(salt, 1))
		cam := camera{horizon: 0.40, centre: f.aspect() / 2, focal: 1.17, height: 2.3, focus: 8, blur: 0.0004}
		air := dawnSky(f)
		flow := creek{sway: 0.36, turn: 2.35, phase: 0.75, width: 0.75, widen: 0.05}
		land := &marsh{
			camera: cam, coast: flow.coast, bank: 0.42, ripples: 1,
			mud:  mud{dry: hex(0x6b503a), wet: hex(0x2c1f17), relief: 2.2},
			turf: hex(0x1b170d), lawn: hex(0x8d7a4c), haze: haze{hex(0xe2b78c), 120},
		}
		sunward := (air.sun.u - cam.centre) / cam.focal
		grass := blade{
			camera: cam, height: 0.52, width: 0.0024, lean: 0.18,
			dress: func(rnd *rand.Rand, x, z float32) (root, tip rgb) {
				root, tip = dawnGrass(rnd, x, z)
				return root, tip.times(0.8 + 0.9*exp(-abs(x/z-sunward)*4))
			},
		}
		m := meadow{
			camera: cam, near: 2.4, far: 170, density: 700, thinning: 9,
			haze: land.haze, grows: land.grass, sprout: grass.sprout,
		}
		blades := m.plant(rnd, f.aspect())
		wood := treeline{horizon: cam.horizon, height: 0.026, scale: 26, offset: 3.1, colour: hex(0x6d6268), haze: hex(0xdbb08c), octaves: 4}
		hills := treeline{horizon: cam.horizon, height: 0.034, scale: 7, offset: 11, colour: hex(0xb9a09a), haze: hex(0xe4ba97), octaves: 3}
		return []layer{
			air.field(cam.horizon), hills.field(), wood.field(),
			land.field(f, air),
			newStrokes(f, mirrored(rnd, land.atEdge(blades), 0.7)),
			newStrokes(f, blades),
		}
	}
}

func dawnSky(f frame) *sky {
	return &sky{
		colours: newRamp(
			stop{0, hex(0xf2c08c)}, stop{0.25, hex(0xeec6a4)}, stop{0.5, hex(0xc9c3c6)},
			stop{0.75, hex(0x93a9c6)}, stop{1, hex(0x587aa8)}),
		reach: 0.5, sun: pt{f.aspect() * 0.27, 0.052}, glow: hex(0xffb25e).times(1.3), spread: 0.34,
		disc: 0.0105, face: hex(0xfff0cc).times(3),
		lit: hex(0xffcf9e).times(1.25), shaded: hex(0xa9a5bb), clouds: newCirrus(f.aspect(), f.aspect()*0.27, 0.8, pt{4, 9}),
	}
}

// dawnGrass is autumn cord-grass: straw and olive in patches, here and there a dead pale stem.
func dawnGrass(rnd *rand.Rand, x, z float32) (root, tip rgb) {
	patch := clamp01(0.55 + 1.7*fbm(x*0.16+40, z*0.09, 3) + 0.5*(rnd.Float32()-0.5))
	tip = hex(0x80793f).to(hex(0xd8a75c), patch)
	if rnd.Float32() < 0.12 {
		tip = hex(0xe8cf9a)
	}
	if rnd.Float32() < 0.07 {
		tip = hex(0x9a5a34)
	}
	shade := 0.8 + 0.6*fbm(x*0.3, z*0.11+20, 2)
	tip = tip.times((0.35 + 0.85*rnd.Float32()) * shade)
	root = hex(0x17150b).to(hex(0x38290f), patch)
	return root, tip
}

// dusk is a low horizon under a wide even sky after sunset, mirrored in still flood water, with black reeds
// against it: the gradient that shows any banding, beside hair lines that show any halo.
func dusk(salt uint64) scene {
	return func(f frame) []layer {
		rnd := rand.New(rand.NewPCG(salt, 2))
		cam := camera{horizon: 0.655, centre: f.aspect() / 2, focal: 1.46, height: 1.5, focus: 5, blur: 0.0004}
		air := duskSky(f)
		flood := pools{size: 9, land: 0.55, from: 8, to: 70, drift: float32(salt) * 3.7}
		land := &marsh{
			camera: cam, coast: flood.coast, bank: 0.05, ripples: 0.35,
			mud:  mud{dry: hex(0x2a1d1c), wet: hex(0x15101a), relief: 1.5},
			turf: hex(0x0d0a0e), lawn: hex(0x2e2028), haze: haze{hex(0x9c5a4c), 260},
		}
		grass := blade{camera: cam, height: 0.55, width: 0.003, lean: 0.1, dress: duskGrass}
		m := meadow{
			camera: cam, near: 3, far: 220, density: 160, thinning: 16,
			haze: land.haze, grows: land.grass, sprout: grass.sprout,
		}
		blades := m.plant(rnd, f.aspect())
		wood := treeline{horizon: cam.horizon, height: 0.019, scale: 34, offset: 7.7, colour: hex(0x33232e), haze: hex(0x8a4a42), octaves: 4}
		hills := treeline{horizon: cam.horizon, height: 0.03, scale: 5, offset: 2, colour: hex(0x6a4250), haze: hex(0xb2624a), octaves: 3}
		reeds := reedBed(rnd, f.aspect())
		return []layer{
			air.field(cam.horizon), hills.field(), wood.field(),
			land.field(f, air),
			newStrokes(f, mirrored(rnd, land.atEdge(blades), 0.6)),
			newStrokes(f, blades),
			newStrokes(f, skein(rnd, pt{f.aspect() * 0.63, 0.235}, 0.012)),
			newStrokes(f, reeds),
		}
	}
}

func duskSky(f frame) *sky {
	return &sky{
		colours: newRamp(
			stop{0, hex(0xd8602f)}, stop{0.16, hex(0xe58a4c)}, stop{0.34, hex(0xd99a77)}, stop{0.5, hex(0xa58a92)},
			stop{0.72, hex(0x55658f)}, stop{0.9, hex(0x2b416f)}, stop{1, hex(0x1f3260)}),
		reach: 0.68, sun: pt{f.aspect() * 0.36, -0.02}, glow: hex(0xff8a3c).times(0.75), spread: 0.3,
		lit: hex(0xff9a66).times(0.9), shaded: hex(0x6d5c7c), clouds: newCirrus(f.aspect(), f.aspect()*0.36, 0.5, pt{31, 5}),
	}
}

func duskGrass(rnd *rand.Rand, x, z float32) (root, tip rgb) {
	tip = hex(0x2f2026).to(hex(0x5b3a30), rnd.Float32())
	return hex(0x070508), tip.times(0.4 + 0.8*rnd.Float32())
}

// reedBed is the near reeds of the two lower corners, tall and black, each with its plume.
func reedBed(rnd *rand.Rand, aspect float32) []stroke {
	var all []stroke
	for range 150 {
		side := rnd.Float32() * rnd.Float32()
		u := side * 0.62 * aspect
		tall := (0.62 - 0.75*side) * (0.5 + 0.5*rnd.Float32())
		if rnd.Float32() < 0.3 {
			u, tall = aspect-u*0.6, tall*0.7
		}
		soft := 0.0002 + 0.0012*rnd.Float32()*rnd.Float32()
		all = append(all, reed(rnd, pt{u, 1.03}, tall, soft)...)
	}
	return all
}

// samphire is a marsh in September close to: glasswort turning from green through orange to crimson, and
// sea-lavender in flower. Its colours are written in the primaries of a98Space: the greens and the brightest
// reds lie outside sRGB.
func samphire(salt uint64) scene {
	return func(f frame) []layer {
		rnd := rand.New(rand.NewPCG(salt, 3))
		cam := camera{horizon: 0.13, centre: f.aspect() / 2, focal: 1.5, height: 0.62, focus: 1.75, blur: 0.0028}
		air := &sky{
			colours: newRamp(stop{0, a98Space.colour(0xe0bf98)}, stop{0.5, a98Space.colour(0xb8a5ac)}, stop{1, a98Space.colour(0x6c86ae)}),
			reach:   0.5, sun: pt{f.aspect() * 0.12, 0.1}, glow: a98Space.colour(0xffd9a0).times(0.3), spread: 0.5,
		}
		flood := pools{size: 2.2, land: 0.75, from: 0.5, to: 2.1, drift: 1.3 * float32(salt)}
		land := &marsh{
			camera: cam, coast: flood.coast, bank: 0.12, ripples: 0.2,
			mud:  mud{dry: a98Space.colour(0x5a4034), wet: a98Space.colour(0x291a16), relief: 2.5},
			turf: a98Space.colour(0x1a0d0c), lawn: a98Space.colour(0x7a2a26), haze: haze{a98Space.colour(0xd8a088), 60},
		}
		wood := treeline{horizon: cam.horizon, height: 0.03, scale: 14, offset: 5, colour: a98Space.colour(0x7c6f78), haze: land.haze.colour, octaves: 2}
		m := meadow{
			camera: cam, near: 0.75, far: 45, density: 620, thinning: 2.2,
			haze: land.haze,
			grows: func(x, z float32) float32 {
				tall := smoothstep(-0.12, 0.16, land.coast(z)(x, 3)) * (0.85 + 0.8*fbm(x*0.9, z*0.6, 3))
				if tall < 0.4 {
					return 0
				}
				return tall
			},
			sprout: func(rnd *rand.Rand, p plot, to []stroke) []stroke {
				drift := fbm(p.x*0.55+5, p.z*0.3+9, 3) + 0.2*float32(rnd.NormFloat64())
				if drift > 0.42 {
					return seaLavender(rnd, cam, p, to)
				}
				return glasswort(rnd, cam, p, to)
			},
		}
		plants := m.plant(rnd, f.aspect())
		return []layer{
			air.field(cam.horizon), wood.field(),
			land.field(f, air),
			newStrokes(f, mirrored(rnd, land.atEdge(plants), 0.6)),
			newStrokes(f, plants),
		}
	}
}

// stillLife is a whelk shell and a reed's plume on black slate, lit from the upper left by one window:
// most of the picture is shadow, and the shadow holds detail down to the black of the paper.
func stillLife(salt uint64) scene {
	return func(f frame) []layer {
		rnd := rand.New(rand.NewPCG(salt, 4))
		a := f.aspect()
		whelk := &shell{
			centre: pt{a * 0.665, 0.55}, size: 0.18, turns: 6, growth: 1.62,
			tilt: [3]float32{0.45, 2.75, 0.95}, light: vec{-0.62, -0.58, 0.53}.unit(),
		}
		reed := dryReed(rnd, a)
		return []layer{
			slate(f),
			newStrokes(f, shadows(reed, pt{0.016, 0.02}, 0.007)),
			newStrokes(f, []stroke{shellShadow(whelk)}),
			newStrokes(f, reed),
			whelk.layer(f),
		}
	}
}

// slate is the table: nearly black, riven, with the window's light falling off across it.
func slate(f frame) layer {
	octaves := octavesFor(9, f.pixel(), 8)
	lamp := pt{f.aspect() * 0.34, 0.36}
	return relief{
		height: func(v float32) func(float32) float32 {
			return func(u float32) float32 {
				return fbm(u*3+v*1.1, v*9-u*2, octaves) + 0.4*fbm(u*40, v*55, 3)
			}
		},
		shade: func(v float32) func(u, h, across, down float32) rgb {
			return func(u, h, across, down float32) rgb {
				du, dv := u-lamp.u, v-lamp.v
				pool := fadeOut((du*du*1.1 + dv*dv*2.2) * 3.2)
				light := 0.0012 + 0.016*pool
				return slateGrey.times(light * max(1+0.5*h+0.009*(across+down), 0.1))
			}
		},
	}
}

var slateGrey = hex(0xb9bfd0)

// shadows is what strokes cast on the table, moved away from the window and out of focus.
func shadows(all []stroke, by pt, soft float32) []stroke {
	out := make([]stroke, len(all))
	for i, s := range all {
		move := func(p pt) pt { return pt{p.u + by.u, p.v + by.v} }
		s.root, s.bend, s.tip = move(s.root), move(s.bend), move(s.tip)
		s.from, s.to, s.roll = rgb{}, rgb{}, 0
		s.soft, s.opacity = soft, 0.5*s.opacity
		out[i] = s
	}
	return out
}

// shellShadow is a soft dark oval under the shell, away from the window.
func shellShadow(s *shell) stroke {
	c := s.centre
	return stroke{
		root: pt{c.u - 0.1, c.v + 0.05}, bend: pt{c.u + 0.08, c.v + 0.16}, tip: pt{c.u + 0.3, c.v + 0.2},
		thick: 0.16, thin: 0.08, soft: 0.09, opacity: 0.93,
	}
}

// fog is a high-key grey picture: stands of reed going back into fog over still water, each paler than the
// one before, the nearest drawn with single stems.
func fog(salt uint64) scene {
	return func(f frame) []layer {
		rnd := rand.New(rand.NewPCG(salt, 5))
		cam := camera{horizon: 0.47, centre: f.aspect() / 2, focal: 1.9, height: 1.45, focus: 7, blur: 0.0012}
		white := hex(0xd6d6d6)
		air := &sky{
			colours: newRamp(stop{0, hex(0xd2d2d2)}, stop{0.6, hex(0xdcdcdc)}, stop{1, hex(0xc4c4c4)}),
			reach:   0.6, sun: pt{f.aspect() * 0.6, 0.22}, glow: hex(0xa0a0a0), spread: 0.42,
		}
		flood := pools{size: 5, land: 0.62, from: 5, to: 40, drift: 1.7 * float32(salt)}
		land := &marsh{
			camera: cam, coast: flood.coast, bank: 0.04, ripples: 0.25,
			mud:  mud{dry: hex(0x55534f), wet: hex(0x2c2a28), relief: 2},
			turf: hex(0x121110), lawn: hex(0x777572), haze: haze{white, 21},
		}
		grass := blade{camera: cam, height: 0.62, width: 0.0022, lean: 0.12, dress: greyGrass}
		m := meadow{
			camera: cam, near: 3.4, far: 75, density: 300, thinning: 9,
			haze: land.haze, grows: land.grass,
			sprout: func(rnd *rand.Rand, p plot, to []stroke) []stroke {
				if p.tall > 0.8 && rnd.Float32() < 0.05 {
					return standingReed(rnd, cam, p, to)
				}
				return grass.sprout(rnd, p, to)
			},
		}
		standing := byDepth(m.plant(rnd, f.aspect()), oldPosts(rnd, cam, land.haze))
		return []layer{
			air.field(cam.horizon),
			land.field(f, air),
			newStrokes(f, mirrored(rnd, land.atEdge(standing), 1)),
			newStrokes(f, standing),
		}
	}
}

func greyGrass(rnd *rand.Rand, x, z float32) (root, tip rgb) {
	return hex(0x0e0e0e), hex(0x2c2c2c).to(hex(0xa8a8a8), rnd.Float32()*rnd.Float32())
}

// standingReed is a reed on the ground of a meadow: stem, leaves and plume.
func standingReed(rnd *rand.Rand, cam camera, p plot, to []stroke) []stroke {
	tall := (1.3 + 0.7*rnd.Float32()) * cam.size(p.z)
	for _, s := range reed(rnd, cam.screen(p.x, 0, p.z), tall, 0) {
		// reed draws for its height; its thickness is a stem's at this distance.
		k := 0.003 * cam.size(p.z) / 0.0015
		s.thick, s.thin = s.thick*k, s.thin*k
		s.from, s.to = hex(0x0c0c0c), hex(0x242424)
		to = append(to, s)
	}
	return to
}

// oldPosts is what is left of a jetty, leading out into the fog.
func oldPosts(rnd *rand.Rand, cam camera, air haze) []stroke {
	var all []stroke
	for z := float32(44); z > 6.5; z -= 2.4 + 0.8*rnd.Float32() {
		for _, side := range []float32{-0.1, 1.15} {
			if rnd.Float32() < 0.15 {
				continue // gone
			}
			p := post{
				x: side - 3.0 + 0.12*z + 0.1*float32(rnd.NormFloat64()), z: z,
				tall: 0.75 + 0.4*rnd.Float32(), girth: 0.055 + 0.02*rnd.Float32(), lean: 0.06 * float32(rnd.NormFloat64()),
				wood: hex(0x6a6a6a), weed: hex(0x2a2a2a), lit: 0.5,
			}
			timber := p.strokes(rnd, cam)
			air.veil(timber, z)
			all = append(all, timber...)
		}
	}
	return all
}

// stakes is the upright picture: channel stakes curving away over flat calm at first light, each with its
// image in the water, under a tall even sky.
func stakes(salt uint64) scene {
	return func(f frame) []layer {
		rnd := rand.New(rand.NewPCG(salt, 6))
		cam := camera{horizon: 0.46, centre: f.aspect() / 2, focal: 0.95, height: 1.7, focus: 7, blur: 0.0003}
		air := &sky{
			colours: newRamp(
				stop{0, hex(0xf3cdb4)}, stop{0.25, hex(0xebbfb8)}, stop{0.5, hex(0xbcb0c4)},
				stop{0.75, hex(0x8197bb)}, stop{1, hex(0x4d6c99)}),
			reach: 0.5, sun: pt{f.aspect() * 0.78, 0.0}, glow: hex(0xffb48a).times(0.55), spread: 0.26,
			lit: hex(0xffc4a4).times(1.1), shaded: hex(0x9aa0bd), clouds: newCirrus(f.aspect(), f.aspect()*0.78, 0.75, pt{51, 22}),
		}
		flats := pools{size: 30, land: 0.62, from: 60, to: 260, drift: 1.4}
		land := &marsh{
			camera: cam, coast: flats.coast, bank: 3, ripples: 0.3,
			mud:  mud{dry: hex(0x6a5a55), wet: hex(0x2b3038), relief: 1},
			turf: hex(0x55504a), lawn: hex(0x6a5f5c), haze: haze{hex(0xe6bfae), 260},
		}
		wood := treeline{horizon: cam.horizon, height: 0.017, scale: 30, offset: 41, colour: hex(0x6b6678), haze: hex(0xd7b2ac), octaves: 4}
		hills := treeline{horizon: cam.horizon, height: 0.02, scale: 6, offset: 17, colour: hex(0xaa9fae), haze: hex(0xe3bdb2), octaves: 3}
		line := channelStakes(rnd, cam, land.haze)
		return []layer{
			air.field(cam.horizon), hills.field(), wood.field(),
			land.field(f, air),
			newStrokes(f, mirrored(rnd, line, 0.7)),
			newStrokes(f, line),
			newStrokes(f, skein(rnd, pt{f.aspect() * 0.2, 0.17}, 0.007)),
		}
	}
}

// channelStakes is the line of posts, the near ones about as tall as a person, some lost to the tide.
func channelStakes(rnd *rand.Rand, cam camera, air haze) []stroke {
	var all []stroke
	for z := float32(140); z > 4.3; z *= 0.79 {
		// An even curve in the picture: from the right to the left and back towards the middle.
		aside := 0.22 * sin(1.51*log(z)-0.19) * z / cam.focal
		p := post{
			x: aside + 0.05*float32(rnd.NormFloat64()), z: z,
			tall: 1.15 + 0.4*rnd.Float32(), girth: 0.07 + 0.03*rnd.Float32(), lean: 0.09 * float32(rnd.NormFloat64()),
			wood: hex(0x8b7a70), weed: hex(0x2b2a1c), lit: 0.75,
		}
		if rnd.Float32() < 0.12 {
			p.tall, p.lean = p.tall*0.35, 0 // broken off at the tide line
		}
		timber := p.strokes(rnd, cam)
		air.veil(timber, z)
		all = append(all, timber...)
	}
	return all
}

// lowWater is the bed of a creek with the tide out: ripple marks in deep brown mud, wet hollows that hold the
// sky, and the tracks of a gull across it. There is nothing to look at but texture.
func lowWater(salt uint64) scene {
	return func(f frame) []layer {
		rnd := rand.New(rand.NewPCG(salt, 7))
		cam := camera{horizon: -0.16, centre: f.aspect() / 2, focal: 1.4, height: 1.35, focus: 2.4, blur: 0.0009}
		air := &sky{
			colours: newRamp(stop{0, hex(0xe9c79c)}, stop{0.5, hex(0xb9b4b8)}, stop{1, hex(0x7d97b8)}),
			reach:   1.3, sun: pt{f.aspect() * 0.3, 0.1}, glow: hex(0xffc07a).times(0.5), spread: 0.5,
		}
		bed := rippledMud{camera: cam, drift: float32(salt) * 13.7, dry: hex(0x564433), wet: hex(0x1d130d)}
		return []layer{
			bed.layer(f, air),
			newStrokes(f, flotsam(rnd, cam, f.aspect())),
			newStrokes(f, tracks(rnd, cam)),
		}
	}
}

// flotsam is what the tide left: chips of shell, and crumbs of weed with their shadows.
func flotsam(rnd *rand.Rand, cam camera, aspect float32) []stroke {
	var all []stroke
	for range 1600 {
		at := pt{aspect * rnd.Float32(), rnd.Float32() * rnd.Float32() * 1.05}
		_, z := cam.ground(0, at.v)
		long := (0.0015 + 0.007*rnd.Float32()*rnd.Float32()*rnd.Float32()) * cam.size(z)
		turn := 3.14 * rnd.Float32()
		end := pt{at.u + long*cos(turn), at.v + 0.5*long*sin(turn)}
		chip := stroke{root: at, bend: at, tip: end, thick: long * 0.35, thin: long * 0.25, soft: cam.softness(z), roll: -0.6, opacity: 0.9}
		chip.from = hex(0x1a130d).to(hex(0x3a2a1c), rnd.Float32())
		if rnd.Float32() < 0.35 {
			chip.from = hex(0xb5a58c).to(hex(0xe6dccb), rnd.Float32())
		}
		chip.to = chip.from
		shade := chip
		shade.root.u, shade.tip.u, shade.bend.u = at.u+long*0.5, end.u+long*0.5, at.u+long*0.5
		shade.from, shade.to, shade.opacity, shade.roll = hex(0x0d0805), hex(0x0d0805), 0.6, 0
		all = append(all, shade, chip)
	}
	return all
}

// tracks is the prints of one gull, walking away and a little to the right.
func tracks(rnd *rand.Rand, cam camera) []stroke {
	var all []stroke
	left := float32(-0.035)
	x, z := float32(-0.42), float32(1.22)
	for z < 5.2 {
		heading := 0.33 + 0.28*sin(z*1.3)
		all = append(all, footprint(rnd, cam, x+left, z, heading)...)
		left = -left
		x, z = x+0.16*sin(heading), z+0.16*cos(heading)
	}
	return all
}

// footprint is three toes and a heel, dark, with a lit lip of pushed-up mud on the side away from the sun.
func footprint(rnd *rand.Rand, cam camera, x, z, heading float32) []stroke {
	var all []stroke
	for _, toe := range [][2]float32{{-0.5, 0.052}, {0, 0.06}, {0.5, 0.052}, {3.14, 0.014}} {
		way := heading + toe[0] + 0.06*float32(rnd.NormFloat64())
		long := toe[1] * (0.9 + 0.2*rnd.Float32())
		tip := cam.screen(x+long*sin(way), 0, z+long*cos(way))
		mid := cam.screen(x+0.55*long*sin(way-0.12), 0, z+0.55*long*cos(way-0.12))
		thick := 0.0042 * cam.size(z)
		pressed := stroke{
			root: cam.screen(x, 0, z), bend: mid, tip: tip, thick: thick, thin: thick * 0.5, soft: thick*0.45 + cam.softness(z),
			from: hex(0x0f0a07), to: hex(0x140d08), roll: 0.5, opacity: 0.85,
		}
		lip := pressed
		off := pt{thick * 1.3, thick * 0.8}
		lip.root.u, lip.root.v = lip.root.u+off.u, lip.root.v+off.v
		lip.bend.u, lip.bend.v = lip.bend.u+off.u, lip.bend.v+off.v
		lip.tip.u, lip.tip.v = lip.tip.u+off.u, lip.tip.v+off.v
		lip.from, lip.to, lip.opacity = hex(0xa88c6c), hex(0x8f7458), 0.4
		all = append(all, lip, pressed)
	}
	return all
}
