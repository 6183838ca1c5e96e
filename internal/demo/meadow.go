package demo

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

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

// mirrored returns the strokes upside down about the water at their feet: darker, and a little bent, as ripples do.
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
