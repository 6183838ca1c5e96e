package demo

import "math/rand/v2"

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
