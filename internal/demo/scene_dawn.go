package demo

import "math/rand/v2"

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
