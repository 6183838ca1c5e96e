package demo

import "math/rand/v2"

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
