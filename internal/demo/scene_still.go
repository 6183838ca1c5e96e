package demo

import "math/rand/v2"

// stillLife is a whelk shell and a reed's plume on black slate, lit from the upper left by one window:
// most of the picture is shadow, and the shadow holds detail down to the black of the paper.
func stillLife(salt uint64) scene {
	return func(f frame) []layer {
		rnd := rand.New(rand.NewPCG(salt, 4))
		a := f.aspect()
		whelk := &shell{
			centre: pt{a * 0.665, 0.55}, size: 0.18, turns: 6, growth: 1.62,
			tilt: [3]float32{0.45, 2.75, 0.95}, light: vec{-0.62, -0.58, 0.53}.unit(),
		}
		reed := dryReed(rnd, a)
		return []layer{
			slate(f),
			newStrokes(f, shadows(reed, pt{0.016, 0.02}, 0.007)),
			newStrokes(f, []stroke{shellShadow(whelk)}),
			newStrokes(f, reed),
			whelk.layer(f),
		}
	}
}

// slate is the table: nearly black, riven, with the window's light falling off across it.
func slate(f frame) layer {
	octaves := octavesFor(9, f.pixel(), 8)
	lamp := pt{f.aspect() * 0.34, 0.36}
	return relief{
		height: func(v float32) func(float32) float32 {
			return func(u float32) float32 {
				return fbm(u*3+v*1.1, v*9-u*2, octaves) + 0.4*fbm(u*40, v*55, 3)
			}
		},
		shade: func(v float32) func(u, h, across, down float32) rgb {
			return func(u, h, across, down float32) rgb {
				du, dv := u-lamp.u, v-lamp.v
				pool := fadeOut((du*du*1.1 + dv*dv*2.2) * 3.2)
				light := 0.0012 + 0.016*pool
				return slateGrey.times(light * max(1+0.5*h+0.009*(across+down), 0.1))
			}
		},
	}
}

var slateGrey = hex(0xb9bfd0)

// shadows is what strokes cast on the table, moved away from the window and out of focus.
func shadows(all []stroke, by pt, soft float32) []stroke {
	out := make([]stroke, len(all))
	for i, s := range all {
		move := func(p pt) pt { return pt{p.u + by.u, p.v + by.v} }
		s.root, s.bend, s.tip = move(s.root), move(s.bend), move(s.tip)
		s.from, s.to, s.roll = rgb{}, rgb{}, 0
		s.soft, s.opacity = soft, 0.5*s.opacity
		out[i] = s
	}
	return out
}

// shellShadow is a soft dark oval under the shell, away from the window.
func shellShadow(s *shell) stroke {
	c := s.centre
	return stroke{
		root: pt{c.u - 0.1, c.v + 0.05}, bend: pt{c.u + 0.08, c.v + 0.16}, tip: pt{c.u + 0.3, c.v + 0.2},
		thick: 0.16, thin: 0.08, soft: 0.09, opacity: 0.93,
	}
}
