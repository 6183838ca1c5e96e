package main

import (
	. "github.com/mmcloughlin/avo/build"
	"github.com/mmcloughlin/avo/reg"
)

func difference16() {
	function("difference16AVX2", "func(dst *byte, now, before *uint16, n int)",
		"difference16AVX2 stores now - before for n samples, a multiple of sixteen.")
	dst, now, before, n := param("dst"), param("now"), param("before"), param("n")
	every(16, n, func(i reg.GPVirtual) {
		v := YMM()
		VMOVDQU(at(now, i, 2, 0), v)
		VPSUBW(at(before, i, 2, 0), v, v)
		VMOVDQU(v, at(dst, i, 2, 0))
	})
	done()
}
