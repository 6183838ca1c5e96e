package demo

import "math/rand/v2"

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
