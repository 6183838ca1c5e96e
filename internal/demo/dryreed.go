package demo

import "math/rand/v2"

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
