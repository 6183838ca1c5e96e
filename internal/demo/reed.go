package demo

import "math/rand/v2"

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
