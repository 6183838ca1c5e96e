package main

import (
	. "github.com/mmcloughlin/avo/build"
	"github.com/mmcloughlin/avo/reg"
)

// The shares of ITU-R BT.601, as in package vector.
const kr, kg, kb = 0.299, 0.587, 0.114

func toYCC() {
	function("toYCCAVX2", "func(y, c1, c2 *float32, n int)", "toYCCAVX2 is ToYCC for n, a multiple of eight.")
	y, c1, c2, n := param("y"), param("c1"), param("c2"), param("n")
	red, blue := constant("red", kr), constant("blue", kb)
	every(8, n, func(i reg.GPVirtual) {
		r, g, b := load(at(y, i, 4, 0)), load(at(c1, i, 4, 0)), load(at(c2, i, 4, 0))
		luma := add(g, add(mul(red, sub(r, g)), mul(blue, sub(b, g))))
		VMOVUPS(luma, at(y, i, 4, 0))
		VMOVUPS(sub(r, luma), at(c1, i, 4, 0))
		VMOVUPS(sub(b, luma), at(c2, i, 4, 0))
	})
	done()
}

func toRGB() {
	function("toRGBAVX2", "func(y, c1, c2 *float32, n int)", "toRGBAVX2 is ToRGB for n, a multiple of eight.")
	y, c1, c2, n := param("y"), param("c1"), param("c2"), param("n")
	red, blue := constant("redOfGreen", kr/kg), constant("blueOfGreen", kb/kg)
	none, one := zero(), constant("one", 1)
	every(8, n, func(i reg.GPVirtual) {
		luma, r, b := load(at(y, i, 4, 0)), load(at(c1, i, 4, 0)), load(at(c2, i, 4, 0))
		green := sub(luma, add(mul(red, r), mul(blue, b)))
		VMOVUPS(clamp(add(luma, r), none, one), at(y, i, 4, 0))
		VMOVUPS(clamp(green, none, one), at(c1, i, 4, 0))
		VMOVUPS(clamp(add(luma, b), none, one), at(c2, i, 4, 0))
	})
	done()
}
