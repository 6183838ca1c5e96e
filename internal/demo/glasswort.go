package demo

import "math/rand/v2"

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
