package demo

import "math/rand/v2"

// samphire is a marsh in September close to: glasswort turning from green through orange to crimson, and
// sea-lavender in flower. Its colours are written in the primaries of a98Space and many lie outside sRGB.
func samphire(salt uint64) scene {
	return func(f frame) []layer {
		rnd := rand.New(rand.NewPCG(salt, 3))
		cam := camera{horizon: 0.13, centre: f.aspect() / 2, focal: 1.5, height: 0.62, focus: 1.75, blur: 0.0028}
		air := &sky{
			colours: newRamp(stop{0, a98Space.colour(0xefcfa8)}, stop{0.5, a98Space.colour(0xc9b6bc)}, stop{1, a98Space.colour(0x7f97bd)}),
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

// glasswort is an upright jointed stem with pairs of jointed branches that curve up beside it.
func glasswort(rnd *rand.Rand, cam camera, p plot, to []stroke) []stroke {
	h := 0.17 * p.tall * (0.6 + 0.6*rnd.Float32())
	thick := 0.0016 * p.stout * cam.size(p.z)
	ripe := clamp01(0.62 + 1.0*fbm(p.x*0.8, p.z*0.4+3, 4) + 0.16*float32(rnd.NormFloat64()))
	root, tip := glasswortColours(ripe, rnd)
	joints := float32(0)
	if thick > 0.0009 {
		joints = 9
	}
	stem := func(x0, y0, x1, y1, girth float32) stroke {
		return stroke{
			root: cam.screen(p.x+x0, y0, p.z), bend: cam.screen(p.x+x0*0.45+x1*0.55, y0*0.7+y1*0.3, p.z), tip: cam.screen(p.x+x1, y1, p.z),
			thick: thick * girth, thin: thick * girth * 0.6, from: root.to(tip, y0/h), to: tip,
			roll: -0.75, joints: joints * (y1 - y0) / h, opacity: 1,
		}
	}
	lean := 0.14 * h * float32(rnd.NormFloat64())
	branches := max(int(10/(p.stout*p.stout)), 3)
	for range branches {
		t := 0.08 + 0.75*rnd.Float32()
		long := h * (0.62 - 0.45*t) * (0.5 + 0.7*rnd.Float32())
		out := long * (0.12 + 0.38*rnd.Float32())
		if rnd.Float32() < 0.5 {
			out = -out
		}
		to = append(to, stem(lean*t, h*t, lean*t+out, h*t+long, 0.85))
	}
	return append(to, stem(0, 0, lean, h, 1))
}

// glasswortColours runs from fresh green, ripe 0, by yellow and orange to crimson, ripe 1.
func glasswortColours(ripe float32, rnd *rand.Rand) (root, tip rgb) {
	tip = glasswortRipening.at(ripe).times(0.3 + 0.85*rnd.Float32())
	return tip.times(0.06).plus(a98Space.colour(0x10080a)), tip
}

var glasswortRipening = newRamp(
	stop{0, a98Space.colour(0x4f8f30)}, stop{0.22, a98Space.colour(0x8a9a38)}, stop{0.36, a98Space.colour(0xb87a38)},
	stop{0.52, a98Space.colour(0xcc4028)}, stop{0.75, a98Space.colour(0xc41c2c)}, stop{1, a98Space.colour(0x7e0c32)})

// seaLavender is a bare wiry stem that forks into sprays of small purple flowers along their upper sides.
func seaLavender(rnd *rand.Rand, cam camera, p plot, to []stroke) []stroke {
	h := 0.27 * p.tall * (0.7 + 0.5*rnd.Float32())
	thick := 0.0010 * p.stout * cam.size(p.z)
	green, dark := a98Space.colour(0x6a7a48), a98Space.colour(0x1c160f)
	lean := 0.15 * h * float32(rnd.NormFloat64())
	main := stroke{
		root: cam.screen(p.x, 0, p.z), bend: cam.screen(p.x+lean*0.3, h*0.5, p.z), tip: cam.screen(p.x+lean, h*0.8, p.z),
		thick: thick, thin: thick * 0.6, from: dark, to: green, roll: -0.6, opacity: 1,
	}
	to = append(to, main)
	size := cam.size(p.z)
	for range 5 {
		from := main.along(0.5 + 0.5*rnd.Float32())
		out, up := h*0.42*float32(rnd.NormFloat64())*size, h*(0.14+0.2*rnd.Float32())*size
		spray := stroke{
			root: from, bend: pt{from.u + out*0.35, from.v - up*0.8}, tip: pt{from.u + out, from.v - up},
			thick: thick * 0.7, thin: thick * 0.4, from: green, to: green, roll: -0.6, opacity: 1,
		}
		to = append(to, spray)
		to = flowers(rnd, spray, 0.0024*size*p.stout, 0.055*p.stout, to)
	}
	return to
}

// flowers sets small cups along a spray; size is their length on screen and gap the space between, in sprays.
func flowers(rnd *rand.Rand, spray stroke, size, gap float32, to []stroke) []stroke {
	for t := float32(0.25); t <= 1; t += gap {
		p := spray.along(t)
		violet := lavender.at(rnd.Float32()).times(0.45 + 0.75*rnd.Float32())
		way := size * 0.7 * float32(rnd.NormFloat64())
		tip := pt{p.u + way, p.v - size*(0.8+0.8*rnd.Float32())}
		to = append(to, stroke{
			root: p, bend: pt{p.u + way*0.3, (p.v + tip.v) / 2}, tip: tip,
			thick: size * 0.42, thin: size * 0.5, from: violet.times(0.3), to: violet, roll: -0.6, opacity: 1,
		})
	}
	return to
}

var lavender = newRamp(stop{0, a98Space.colour(0x6a34b4)}, stop{0.5, a98Space.colour(0x8c4cd2)}, stop{1, a98Space.colour(0xb884e6)})
