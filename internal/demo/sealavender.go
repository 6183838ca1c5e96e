package demo

import "math/rand/v2"

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
