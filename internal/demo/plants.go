package demo

import (
	"cmp"
	"math/rand/v2"
	"slices"
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

// A meadow plants the ground a camera sees, thinner in number and thicker in stem with distance so that the
// cover stays even and the count stays small.
type meadow struct {
	camera
	near, far float32 // metres
	density   float32 // plants a square metre close by
	thinning  float32 // the distance at which their number has halved, metres
	haze      haze

	// grows is how tall plants stand at a place, 0 none to about 1 full.
	grows func(x, z float32) float32
	// sprout appends the strokes of one plant.
	sprout func(rnd *rand.Rand, p plot, to []stroke) []stroke
}

// A plot is where one plant stands, metres, and how it does there.
type plot struct {
	x, z  float32
	tall  float32 // what grows said
	stout float32 // 1 close by, more where one plant stands for several
}

// plant returns the strokes of all plants from the furthest to the nearest. aspect is the picture's width.
func (m *meadow) plant(rnd *rand.Rand, aspect float32) []stroke {
	var all []stroke
	for _, p := range m.plots(rnd, aspect) {
		first := len(all)
		all = m.sprout(rnd, p, all)
		for i := first; i < len(all); i++ {
			all[i].foot = m.screen(p.x, 0, p.z).v
			all[i].soft += m.softness(p.z)
		}
		m.haze.veil(all[first:], p.z)
	}
	return all
}

// plots strews plants over the ground, ring by ring towards the camera.
func (m *meadow) plots(rnd *rand.Rand, aspect float32) []plot {
	const margin = 1.2 // plants outside the picture lean into it
	var all []plot
	for z := m.far; z > m.near; z *= 0.97 {
		depth, width := z*0.03, aspect*margin*z/m.focal+1
		thin := 1 + (z/m.thinning)*(z/m.thinning)
		for range int(m.density / thin * depth * width) {
			p := plot{z: z - rnd.Float32()*depth, stout: sqrt(sqrt(thin))}
			p.x = (rnd.Float32()-0.5)*width + (aspect/2-m.centre)*z/m.focal
			if p.tall = m.grows(p.x, p.z); p.tall > 0.02 {
				all = append(all, p)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b plot) int { return cmp.Compare(b.z, a.z) })
	return all
}

// A blade is a kind of grass: one leaf to a plant.
type blade struct {
	camera
	height float32 // metres
	width  float32 // half-width at the root, metres
	lean   float32 // mean lean to the right, in blade heights

	// dress gives a leaf its colours at root and tip.
	dress func(rnd *rand.Rand, x, z float32) (root, tip rgb)
}

func (b blade) sprout(rnd *rand.Rand, p plot, to []stroke) []stroke {
	h := b.height * p.tall * (0.55 + 0.6*rnd.Float32())
	gust := 0.35 * fbm(p.x*0.35+3, p.z*0.35, 2)
	lean := h * (b.lean + gust + 0.28*float32(rnd.NormFloat64()))
	droop := abs(lean)*0.35 + 0.05*h*rnd.Float32()
	root, tip := b.dress(rnd, p.x, p.z)
	thick := b.width * p.stout * (0.6 + 0.8*rnd.Float32()) * b.size(p.z)
	return append(to, stroke{
		root: b.screen(p.x, 0, p.z), bend: b.screen(p.x+lean*0.25, h*0.75, p.z), tip: b.screen(p.x+lean, h-droop, p.z),
		thick: thick, thin: thick * 0.15, from: root, to: tip, roll: rnd.Float32()*1.4 - 0.4, opacity: 1,
	})
}

// mirrored is the strokes upside down about the water at their feet: darker, and a little bent, as ripples do.
func mirrored(rnd *rand.Rand, all []stroke, dim float32) []stroke {
	out := make([]stroke, len(all))
	for i, s := range all {
		flip := func(p pt) pt { return pt{p.u, 2*s.foot - p.v} }
		length := s.root.v - s.tip.v
		s.root, s.bend, s.tip = flip(s.root), flip(s.bend), flip(s.tip)
		if !s.flat {
			s.bend.u += length * 0.05 * float32(rnd.NormFloat64())
		}
		s.from, s.to = s.from.times(dim), s.to.times(dim)
		s.soft += min(length*0.003, 0.0006)
		s.reflected = true
		out[i] = s
	}
	return out
}

// byDepth puts together strokes that stand on the ground, the furthest first: by where each has its foot.
func byDepth(groups ...[]stroke) []stroke {
	all := slices.Concat(groups...)
	slices.SortStableFunc(all, func(a, b stroke) int { return cmp.Compare(a.foot, b.foot) })
	return all
}

// treeline is a far wood in haze along the horizon.
type treeline struct {
	horizon float32
	height  float32 // of the tallest trees, picture heights
	scale   float32 // trees across a picture height
	offset  float32
	colour  rgb
	haze    rgb // at its foot
	octaves int
}

func (w treeline) field() field {
	return func(v float32) func(float32, rgb) rgb {
		e := w.horizon - v
		if e > w.height*1.3 || e < -0.01 {
			return nil
		}
		return func(u float32, below rgb) rgb { return w.at(u, v, e, below) }
	}
}

func (w treeline) at(u, v, e float32, below rgb) rgb {
	x := u*w.scale + w.offset
	crowns := 0.45 + 0.35*fbm(x*0.22, 7.5, 3) + 0.5*abs(value(x, 3.5)) + 0.22*abs(value(x*2.7, 9.5))
	leaves := fbm(x*9, v*w.scale*9, w.octaves)
	// Where the wood opens there is only a hedge.
	open := smoothstep(-0.35, 0.2, value(x*0.09, 1.5))
	top := w.height * mix(0.12, crowns, open)
	cover := smoothstep(-0.06, 0.06, (top-e)/w.height+0.14*leaves)
	c := w.colour.to(w.haze, smoothstep(top+0.2*w.height, -0.1*w.height, e)*0.75)
	return below.to(c.times(1+0.25*leaves), cover)
}
