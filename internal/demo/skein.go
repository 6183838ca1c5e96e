package demo

import "math/rand/v2"

// skein is geese in an uneven V, each two short strokes; size is a wing's length.
func skein(rnd *rand.Rand, lead pt, size float32) []stroke {
	var all []stroke
	for i := range 19 {
		k := float32((i + 1) / 2)
		arm := float32(1)
		if i%2 == 1 {
			arm = -0.45
		}
		at := pt{lead.u + k*size*2.1 + size*0.3*float32(rnd.NormFloat64()), lead.v + arm*k*size*0.75 + size*0.2*float32(rnd.NormFloat64())}
		beat := size * (0.15 + 0.4*rnd.Float32())
		for _, way := range []float32{-1, 1} {
			all = append(all, stroke{
				root: at, bend: pt{at.u + way*size*0.2, at.v - beat*1.3}, tip: pt{at.u + way*size*0.5, at.v - beat*0.4},
				thick: size * 0.07, thin: size * 0.02, soft: size * 0.02, from: hex(0x120d14), to: hex(0x1c141a), opacity: 0.9,
			})
		}
	}
	return all
}
