package main

import (
	. "github.com/mmcloughlin/avo/build"
	"github.com/mmcloughlin/avo/reg"
)

func cubic() {
	function("cubicAVX2", "func(dst *float32, n int, k float32)",
		"cubicAVX2 is Cubic for n, a multiple of eight.")
	dst, n, k := param("dst"), param("n"), spread("k")
	none, one := zero(), constant("one", 1)
	every(8, n, func(i reg.GPVirtual) {
		v := clamp(load(at(dst, i, 4, 0)), none, one)
		bend := mul(mul(mul(k, v), sub(one, v)), sub(add(v, v), one))
		VMOVUPS(clamp(add(v, bend), none, one), at(dst, i, 4, 0))
	})
	done()
}
