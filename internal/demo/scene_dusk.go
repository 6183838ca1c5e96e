package demo

import "math/rand/v2"

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
