package demo

import "math/rand/v2"

// A post is an old timber standing in the water: weathered staves of uneven height, cracked, and dark with
// weed where the tide covers it.
type post struct {
	x, z        float32 // metres
	tall, girth float32 // height and half-width, metres
	lean        float32 // of its top to the right, metres
	wood, weed  rgb
	lit         float32 // -1 lit from the left, 1 from the right
}

// strokes draws the post, from the water up.
func (p post) strokes(rnd *rand.Rand, cam camera) []stroke {
	const staves = 11
	foot := cam.screen(p.x, 0, p.z)
	tide := p.tall * (0.32 + 0.08*rnd.Float32())
	var all []stroke
	for i := range staves {
		at := (float32(i)+0.5)/staves*2 - 1 // across the post, -1..1
		round := sqrt(1 - 0.85*at*at)
		tone := round * (0.55 + 0.6*p.lit*at + 0.3*rnd.Float32())
		top := p.tall * (1 - 0.05*rnd.Float32()*rnd.Float32() - 0.015*at*at)
		dx := at * p.girth
		// One looks down on the post, so the water meets it along half an oval.
		near := -p.girth * sqrt(1-at*at) * cam.height / p.z
		dry := p.wood.times(max(tone, 0.06) * 1.2)
		wet := p.weed.times(max(tone, 0.1) * (0.6 + 0.8*rnd.Float32()))
		all = append(all, p.stave(cam, dx, near, top, 1.35/staves, wet.to(dry, 0.5), dry))
		all = append(all, p.stave(cam, dx, near, tide*(0.8+0.35*rnd.Float32()), 1.35/staves, wet, wet.to(dry, 0.35)))
	}
	for range 16 {
		dx := (rnd.Float32()*2 - 1) * p.girth * 0.9
		low := p.tall * rnd.Float32()
		high := min(low+p.tall*0.35*rnd.Float32(), p.tall*0.96)
		s := p.stave(cam, dx, low, high, 0.02+0.05*rnd.Float32()*rnd.Float32(), p.wood.times(0.06), p.wood.times(0.1))
		s.opacity = 0.75
		all = append(all, s)
	}
	for i := range all {
		all[i].foot, all[i].soft = foot.v, all[i].soft+cam.softness(p.z)
	}
	return all
}

// stave is an upright strip dx metres across from the middle of the post, wide a share of its girth.
func (p post) stave(cam camera, dx, low, high, wide float32, from, to rgb) stroke {
	at := func(y float32) pt { return cam.screen(p.x+dx+p.lean*y/p.tall, y, p.z) }
	thick := wide * p.girth * cam.size(p.z)
	return stroke{
		root: at(low), bend: at((low + high) / 2), tip: at(high), thick: thick, thin: thick,
		from: from, to: to, opacity: 1, flat: true,
	}
}
