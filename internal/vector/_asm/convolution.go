package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

// Pixels that convolution computes side by side: each has a register of eight sums.
const convolved = 12

// convolution computes eight output samples of twelve pixels. A weight is loaded once for
// all twelve; of each pixel two samples are spread over a register, and VPMADDWD
// multiplies and adds both.
func convolution() {
	function("convolutionAVX2", "func(dst, src, w *int16, bias *int32, stride, in, out, rows, pairs, shift int, low, high int16)",
		"convolutionAVX2 computes eight samples of twelve pixels. stride, in and out are in bytes.")
	src, w, stride, in := param("src"), param("w"), param("stride"), param("in")
	rows, pairs := param("rows"), param("pairs")
	sums := make([]reg.VecVirtual, convolved)
	for i := range sums {
		sums[i] = YMM()
		VPXOR(sums[i], sums[i], sums[i])
	}
	at, left := GP64(), GP64()
	far := GP64()
	LEAQ(Mem{Base: in, Index: in, Scale: 2}, far) // three pixels
	Label("row")
	MOVQ(src, at)
	MOVQ(pairs, left)
	Label("pair")
	weight, both := YMM(), YMM()
	VMOVDQU(Mem{Base: w}, weight)
	base := GP64()
	MOVQ(at, base)
	for i := 0; i < convolved; i += 3 {
		for j, m := range []Mem{{Base: base}, {Base: base, Index: in, Scale: 1}, {Base: base, Index: in, Scale: 2}} {
			VPBROADCASTD(m, both)
			VPMADDWD(both, weight, both)
			VPADDD(both, sums[i+j], sums[i+j])
		}
		if i+3 < convolved {
			ADDQ(far, base)
		}
	}
	ADDQ(Imm(4), at)
	ADDQ(Imm(32), w)
	DECQ(left)
	JNZ(LabelRef("pair"))
	ADDQ(stride, src)
	DECQ(rows)
	JNZ(LabelRef("row"))
	kept(sums)
	done()
}

// kept adds the bias, shifts, keeps the sums within the limits and stores them.
func kept(sums []reg.VecVirtual) {
	dst, out, bias := param("dst"), param("out"), param("bias")
	shift := XMM()
	count := param("shift")
	MOVQ(count, shift)
	low, high := spread16("low"), spread16("high")
	for _, sum := range sums {
		VPADDD(Mem{Base: bias}, sum, sum)
		VPSRAD(shift, sum, sum)
		upper := XMM()
		VEXTRACTI128(Imm(1), sum, upper)
		VPACKSSDW(upper, sum.AsX(), upper)
		VPMAXSW(low, upper, upper)
		VPMINSW(high, upper, upper)
		VMOVDQU(upper, Mem{Base: dst})
		ADDQ(out, dst)
	}
}

// spread16 loads an int16 argument into all eight lanes.
func spread16(name string) reg.VecVirtual {
	g, x := GP32(), XMM()
	Load(Param(name), g.As16())
	MOVD(g, x)
	VPBROADCASTW(x, x)
	return x
}
