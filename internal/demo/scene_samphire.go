package demo

import "math/rand/v2"

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
