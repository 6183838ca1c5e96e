package main

import (
	. "github.com/mmcloughlin/avo/build"
	"github.com/mmcloughlin/avo/reg"
)

// tiny is package vector's.
const tiny = 1e-30

func sharpen() {
	function("sharpenAVX2", "func(dst, luma, blurred *float32, n int, amount, noise2, perLimit2, shadowFrom, shadowPer float32)",
		"sharpenAVX2 is Sharpen for n, a multiple of eight.")
	dst, luma, blurred, n := param("dst"), param("luma"), param("blurred"), param("n")
	amount, noise2, perLimit2 := spread("amount"), spread("noise2"), spread("perLimit2")
	from, per := spread("shadowFrom"), spread("shadowPer")
	none, one, least := zero(), constant("one", 1), constant("tiny", tiny)
	every(8, n, func(i reg.GPVirtual) {
		v := load(at(luma, i, 4, 0))
		m := mul(amount, sub(v, at(blurred, i, 4, 0)))
		q := mul(m, m)
		p := add(q, least)
		root, share := YMM(), YMM()
		VSQRTPS(add(one, mul(q, perLimit2)), root)
		VDIVPS(mul(add(p, noise2), root), p, share)
		m = mul(m, share)
		gate := clamp(mul(sub(v, from), per), none, one)
		VMOVUPS(clamp(add(v, mul(gate, m)), none, one), at(dst, i, 4, 0))
	})
	done()
}
