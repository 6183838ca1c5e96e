package demo

import (
	"math/rand/v2"
)

// reed is one common reed in silhouette: a stem, some leaves blown to the right, a plume.
func reed(rnd *rand.Rand, root pt, tall, soft float32) []stroke {
	dark, edge := hex(0x050406), hex(0x2a1714)
	lean := tall * (0.05 + 0.09*float32(rnd.NormFloat64()))
	thick := 0.0011 + 0.0009*rnd.Float32()
	stem := stroke{
		root: root, bend: pt{root.u + lean*0.3, root.v - tall*0.55}, tip: pt{root.u + lean, root.v - tall},
		thick: thick, thin: thick * 0.35, soft: soft, from: dark, to: edge, roll: -0.5, opacity: 1,
	}
	all := []stroke{stem}
	for t := 0.15 + 0.2*rnd.Float32(); t < 0.85; t += 0.1 + 0.12*rnd.Float32() {
		p := stem.along(t)
		l := tall * (0.16 + 0.2*rnd.Float32()) * (1.1 - t*0.6)
		way := l * (0.5 + 0.4*rnd.Float32())
		if rnd.Float32() < 0.25 {
			way = -way
		}
		all = append(all, stroke{
			root: p, bend: pt{p.u + way*0.4, p.v - l*0.75}, tip: pt{p.u + way, p.v - l*(0.1+0.5*rnd.Float32())},
			thick: thick * 1.5, thin: thick * 0.1, soft: soft, from: dark, to: edge, roll: 0.5, opacity: 1, leaf: true,
		})
	}
	return append(all, plume(rnd, stem, tall*0.19, soft, dark, hex(0x4a2a20))...)
}

// plume is the seed head of a reed: fine threads leaving the top of the stem, all blown one way.
func plume(rnd *rand.Rand, stem stroke, length, soft float32, from, to rgb) []stroke {
	var all []stroke
	for range 46 {
		p := stem.along(1 - 0.16*rnd.Float32())
		l := length * (0.25 + 0.5*rnd.Float32())
		out := l * (0.25 + 0.35*float32(rnd.NormFloat64()))
		all = append(all, stroke{
			root: p, bend: pt{p.u + out*0.3, p.v - l*0.6}, tip: pt{p.u + out, p.v - l*(0.6+0.3*rnd.Float32())},
			thick: stem.thick * 0.45, thin: stem.thick * 0.12, soft: soft, from: from, to: to, opacity: 0.85,
		})
	}
	return all
}

// dryReed lies across the left of the picture: a jointed straw stem, two dry leaves, and a plume.
func dryReed(rnd *rand.Rand, a float32) []stroke {
	straw := hex(0x6b5230)
	stem := stroke{
		root: pt{a * 0.06, 1.04}, bend: pt{a * 0.19, 0.66}, tip: pt{a * 0.315, 0.235},
		thick: 0.0062, thin: 0.0022, from: straw.times(0.3), to: straw.times(1.1), roll: -0.95, opacity: 1,
	}
	all := []stroke{leafOf(stem, 0.28, pt{0.30, -0.02}, 0.42), stem, leafOf(stem, 0.5, pt{-0.17, -0.12}, 0.5)}
	for _, t := range []float32{0.28, 0.5} {
		p := stem.along(t)
		all = append(all, stroke{
			root: pt{p.u - 0.0055, p.v - 0.0025}, bend: p, tip: pt{p.u + 0.0055, p.v + 0.0025},
			thick: 0.0016, thin: 0.0016, soft: 0.0008, from: hex(0x35240f), to: hex(0x241708), opacity: 0.8,
		})
	}
	return append(all, silkyPlume(rnd, stem)...)
}

// leafOf is a dry leaf that leaves the stem at t, rises and falls to its end, to from the stem.
func leafOf(stem stroke, t float32, to pt, rise float32) stroke {
	p := stem.along(t)
	return stroke{
		root: p, bend: pt{p.u + to.u*0.45, p.v + to.v*0.5 - rise*abs(to.u)}, tip: pt{p.u + to.u, p.v + to.v},
		thick: 0.006, thin: 0.0005, soft: 0.0003, from: hex(0x59421f).times(0.7), to: hex(0x9c7c4a).times(0.5), roll: -0.9, opacity: 1, leaf: true,
	}
}

// silkyPlume is the seed head: branches that leave the top of the stem and hang over to the right, each with
// hairs along it finer than a pixel at their ends.
func silkyPlume(rnd *rand.Rand, stem stroke) []stroke {
	var all []stroke
	for i := range 90 {
		t := 0.70 + 0.30*float32(i)/90
		p := stem.along(t)
		length := (0.30 - 0.5*(t-0.70)) * (0.55 + 0.45*rnd.Float32())
		out := length * (0.42 + 0.33*float32(rnd.NormFloat64()))
		branch := stroke{
			root: p, bend: pt{p.u + out*0.35 + 0.05*length, p.v - length*0.75}, tip: pt{p.u + out + 0.3*length, p.v - length*(0.62-0.5*rnd.Float32())},
			thick: 0.0008, thin: 0.0003, from: hex(0x4a3720), to: hex(0x8b6f48).times(0.8), roll: -0.6, opacity: 0.9,
		}
		all = append(all, branch)
		for range 26 {
			all = append(all, hair(rnd, branch))
		}
	}
	return all
}

// hair leaves a branch near its own direction, silvery where it turns to the window.
func hair(rnd *rand.Rand, branch stroke) stroke {
	t := 0.2 + 0.8*rnd.Float32()
	p, ahead := branch.along(t), branch.along(t+0.05)
	du, dv := (ahead.u-p.u)*20, (ahead.v-p.v)*20
	l := (0.12 + 0.22*rnd.Float32()) * (1.2 - 0.6*t)
	turn := 0.45 * float32(rnd.NormFloat64())
	du, dv = (du-dv*turn)*l, (dv+du*turn)*l
	shine := rnd.Float32() * rnd.Float32()
	return stroke{
		root: p, bend: pt{p.u + du*0.5, p.v + dv*0.55}, tip: pt{p.u + du, p.v + dv + 0.008*rnd.Float32()},
		thick: 0.0006, thin: 0.00012, from: hex(0x5b4424).times(0.5), to: hex(0x8a6c42).to(hex(0xf0dcb4), shine).times(0.4 + 0.8*shine),
		roll: -0.5, opacity: 0.8,
	}
}

// glasswort is an upright jointed stem with jointed branches that curve up beside it.
func glasswort(rnd *rand.Rand, cam camera, p plot, to []stroke) []stroke {
	h := 0.17 * p.tall * (0.6 + 0.6*rnd.Float32())
	thick := 0.0016 * p.stout * cam.size(p.z)
	ripe := clamp01(0.52 + 1.25*fbm(p.x*0.8, p.z*0.4+3, 4) + 0.16*float32(rnd.NormFloat64()))
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
	stop{0, a98Space.colour(0x30a828)}, stop{0.28, a98Space.colour(0x6cb02c)}, stop{0.38, a98Space.colour(0xc48434)},
	stop{0.52, a98Space.colour(0xee4424)}, stop{0.78, a98Space.colour(0xe8142a)}, stop{1, a98Space.colour(0x960e38)})

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
