package main

import (
	"strconv"

	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

// shorts returns pixels i to i+15 of a plane as 16-bit integers: in the low half 0-3
// and 8-11, in the high half 4-7 and 12-15.
func shorts(plane, i reg.Register, scale, half reg.VecVirtual) reg.VecVirtual {
	var whole [2]reg.VecVirtual
	for j := range whole {
		whole[j] = YMM()
		VCVTTPS2DQ(add(mul(scale, at(plane, i, 4, 32*j)), half), whole[j])
	}
	y := YMM()
	VPACKUSDW(whole[1], whole[0], y)
	return y
}

// place moves pixel x of plane p, of the eight in each half, to word (3x+p) mod 8. That
// is its position in one of three vectors of the three planes' words. No other pixel of
// its plane has that position, since 3 and 8 have no common divisor.
func place(p int) Mem {
	m := GLOBL("place"+strconv.Itoa(p), RODATA|NOPTR)
	for half := range 2 {
		for word := range 8 { // data must be in order
			x := 3 * (word + 8 - p) % 8 // since 3*3 mod 8 is 1
			DATA(16*half+2*word, U16(2*x|(2*x+1)<<8))
		}
	}
	return m
}

// of returns a mask with a bit for every word of vector s (of three) that is plane p's.
func of(p, s int) (bits uint8) {
	for word := range 8 {
		if (8*s+word)%3 == p {
			bits |= 1 << word
		}
	}
	return bits
}

func interleave3() {
	function("interleave3AVX2", "func(dst *uint16, a, b, c *float32, n int)",
		"interleave3AVX2 is Interleave16 of three planes for n pixels, a multiple of sixteen.")
	dst := param("dst")
	planes := []reg.Register{param("a"), param("b"), param("c")}
	n := param("n")
	scale, half := constant("white", 65535), constant("half", 0.5)
	var places [3]reg.VecVirtual
	for p := range places {
		places[p] = YMM()
		VMOVDQU(place(p), places[p])
	}
	every(16, n, func(i reg.GPVirtual) {
		var v, out [3]reg.VecVirtual
		for p := range v {
			v[p] = shorts(planes[p], i, scale, half)
			VPERMQ(U8(0xd8), v[p], v[p]) // pixels 0-7 low, 8-15 high
			VPSHUFB(places[p], v[p], v[p])
		}
		for s := range out {
			out[s] = YMM()
			VPBLENDW(U8(of(1, s)), v[1], v[0], out[s])
			VPBLENDW(U8(of(2, s)), v[2], out[s], out[s])
		}
		// The low halves are pixels 0-7, the high halves 8-15.
		for s, pair := range [3][2]reg.VecVirtual{{out[0], out[1]}, {out[2], out[0]}, {out[1], out[2]}} {
			y := YMM()
			VPERM2I128(U8([3]int{0x20, 0x30, 0x31}[s]), pair[1], pair[0], y)
			VMOVDQU(y, Mem{Base: dst, Disp: 32 * s})
		}
		ADDQ(Imm(96), dst)
	})
	done()
}

func interleave4() {
	function("interleave4AVX2", "func(dst *uint16, a, b, c, d *float32, n int)",
		"interleave4AVX2 is Interleave16 of four planes for n pixels, a multiple of sixteen.")
	dst := param("dst")
	planes := []reg.Register{param("a"), param("b"), param("c"), param("d")}
	n := param("n")
	scale, half := constant("white", 65535), constant("half", 0.5)
	every(16, n, func(i reg.GPVirtual) {
		var v [4]reg.VecVirtual
		for p := range v {
			v[p] = shorts(planes[p], i, scale, half)
		}
		for part, unpack := range []func(a, b, c Op){unpackLow, unpackHigh} {
			ab, cd := YMM(), YMM() // pixels 0-3 low, 4-7 high; then 8-11, 12-15
			unpack(v[1], v[0], ab)
			unpack(v[3], v[2], cd)
			even, odd := YMM(), YMM() // 0-1 low, 4-5 high; 2-3 low, 6-7 high
			VPUNPCKLDQ(cd, ab, even)
			VPUNPCKHDQ(cd, ab, odd)
			for s, halves := range []uint8{0x20, 0x31} {
				y := YMM()
				VPERM2I128(U8(halves), odd, even, y)
				VMOVDQU(y, Mem{Base: dst, Disp: 64*part + 32*s})
			}
		}
		ADDQ(U32(128), dst)
	})
	done()
}

func unpackLow(a, b, c Op)  { VPUNPCKLWD(a, b, c) }
func unpackHigh(a, b, c Op) { VPUNPCKHWD(a, b, c) }
