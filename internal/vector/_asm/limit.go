package main

import (
	. "github.com/mmcloughlin/avo/build"
	"github.com/mmcloughlin/avo/reg"
)

// limitOf is limitOne of package vector.
func limitOf(v, a, b, c, d, reach reg.Register) reg.VecVirtual {
	none := zero()
	d1 := sub(add(a, c), add(b, b))
	d2 := sub(add(b, d), add(c, c))
	lo := sub(lower(b, c), mul(reach, upper(lower(d1, d2), none)))
	hi := sub(upper(b, c), mul(reach, lower(upper(d1, d2), none)))
	return clamp(v, lo, hi)
}

func limit() {
	function("limitAVX2", "func(dst, a, b, c, d *float32, n int, reach float32)",
		"limitAVX2 is Limit for n, a multiple of eight.")
	dst := param("dst")
	rows := []reg.Register{param("a"), param("b"), param("c"), param("d")}
	n, reach := param("n"), spread("reach")
	every(8, n, func(i reg.GPVirtual) {
		var r [4]reg.Register
		for j := range r {
			r[j] = load(at(rows[j], i, 4, 0))
		}
		v := limitOf(load(at(dst, i, 4, 0)), r[0], r[1], r[2], r[3], reach)
		VMOVUPS(v, at(dst, i, 4, 0))
	})
	done()
}
