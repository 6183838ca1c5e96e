package main

import (
	. "github.com/mmcloughlin/avo/build"
	"github.com/mmcloughlin/avo/reg"
)

func bytes() {
	function("bytesAVX2", "func(dst *float32, src *byte, n int, scale, offset float32)",
		"bytesAVX2 is Bytes for n, a multiple of eight.")
	dst, src, n := param("dst"), param("src"), param("n")
	scale, offset := spread("scale"), spread("offset")
	every(8, n, func(i reg.GPVirtual) {
		v := YMM()
		VPMOVZXBD(at(src, i, 1, 0), v)
		VCVTDQ2PS(v, v)
		VMOVUPS(add(mul(v, scale), offset), at(dst, i, 4, 0))
	})
	done()
}
