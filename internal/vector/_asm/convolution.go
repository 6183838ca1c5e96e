package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

// Pixels that a convolution computes side by side: each has a register of sums. A weight
// is loaded once for all of them; of each pixel two samples are spread over a register, and
// multiplied and added both.
const (
	convolvedAVX2   = 12
	convolvedAVX512 = 24 // or a third, of three times the samples
)

// convolution computes eight output samples of twelve pixels.
func convolution() {
	function("convolutionAVX2", "func(dst, src, w *int16, bias *int32, stride, in, out, rows, pairs, shift int, low, high int16)",
		"convolutionAVX2 computes eight samples of twelve pixels: one half of each sixteen weights. stride, in and out are in bytes.")
	sums := make([]reg.VecVirtual, convolvedAVX2)
	for i := range sums {
		sums[i] = YMM()
	}
	weight, both := YMM(), YMM()
	convolve(sums, weight, func(m Mem, sum reg.VecVirtual) {
		VPBROADCASTD(m, both)
		VPMADDWD(both, weight, both)
		VPADDD(both, sum, sum)
	})
	shift, bias, low, high := limits(func() reg.VecVirtual { return XMM() })
	store(sums, func(sum reg.VecVirtual, dst Mem) {
		VPADDD(bias, sum, sum)
		VPSRAD(shift, sum, sum)
		upper := XMM()
		VEXTRACTI128(Imm(1), sum, upper)
		VPACKSSDW(upper, sum.AsX(), upper)
		VPMAXSW(low, upper, upper)
		VPMINSW(high, upper, upper)
		VMOVDQU(upper, dst)
	})
	done()
}

// convolutionVNNI computes sixteen output samples of 24 pixels. One instruction multiplies
// and adds what three do in AVX2.
func convolutionVNNI() {
	function("convolutionAVX512", "func(dst, src, w *int16, bias *int32, stride, in, out, rows, pairs, shift int, low, high int16)",
		"convolutionAVX512 computes sixteen samples of 24 pixels. stride, in and out are in bytes.")
	sums := make([]reg.VecVirtual, convolvedAVX512)
	for i := range sums {
		sums[i] = ZMM()
	}
	weight := ZMM()
	convolve(sums, weight, func(m Mem, sum reg.VecVirtual) { VPDPWSSD_BCST(m, weight, sum) })
	shift, bias, low, high := limits(func() reg.VecVirtual { return YMM() })
	store(sums, func(sum reg.VecVirtual, dst Mem) { store16(sum, shift, bias, low, high, dst) })
	done()
}

// convolve gathers the sums of the pixels. add adds one pixel's two products to its sum.
func convolve(sums []reg.VecVirtual, weight reg.VecVirtual, add func(m Mem, sum reg.VecVirtual)) {
	zeros(sums)
	w := param("w")
	overPairs(w, len(sums), func() { loadWeights(Mem{Base: w}, weight) }, func(i int, m Mem) { add(m, sums[i]) })
}

// convolution48 computes 48 output samples of eight pixels: each two samples of a pixel are
// spread over a register once for three registers of weights.
func convolution48() {
	function("convolution48AVX512", "func(dst, src, w *int16, bias *int32, stride, in, out, rows, pairs, shift int, low, high int16)",
		"convolution48AVX512 computes 48 samples of eight pixels. stride, in and out are in bytes.")
	const pixels = convolvedAVX512 / 3
	sums := make([]reg.VecVirtual, convolvedAVX512) // by pixel, then by sixteen samples
	for i := range sums {
		sums[i] = ZMM()
	}
	zeros(sums)
	weights := []reg.VecVirtual{ZMM(), ZMM(), ZMM()}
	both := ZMM()
	w, block, pairs := param("w"), param("rows"), param("pairs")
	IMULQ(pairs, block)
	SHLQ(Imm(6), block)
	overPairs(w, pixels, func() {
		loadWeights(Mem{Base: w}, weights[0])
		loadWeights(Mem{Base: w, Index: block, Scale: 1}, weights[1])
		loadWeights(Mem{Base: w, Index: block, Scale: 2}, weights[2])
	}, func(i int, m Mem) {
		VPBROADCASTD(m, both)
		for j, weight := range weights {
			VPDPWSSD(both, weight, sums[3*i+j])
		}
	})
	shift, bias, low, high := limits(func() reg.VecVirtual { return YMM() })
	dst, out := param("dst"), param("out")
	for i, sum := range sums {
		j := i % 3
		store16(sum, shift, bias.Offset(64*j), low, high, Mem{Base: dst}.Offset(32*j))
		if j == 2 {
			ADDQ(out, dst)
		}
	}
	done()
}

// overPairs goes over all pairs of samples: next loads their weights, and pair adds those
// of one pixel.
func overPairs(w reg.Register, pixels int, next func(), pair func(i int, m Mem)) {
	src, stride, in := param("src"), param("stride"), param("in")
	rows, pairs := param("rows"), param("pairs")
	at, left, base := GP64(), GP64(), GP64()
	far := GP64()
	LEAQ(Mem{Base: in, Index: in, Scale: 2}, far) // three pixels
	Label("row")
	MOVQ(src, at)
	MOVQ(pairs, left)
	Label("pair")
	next()
	MOVQ(at, base)
	for i := range pixels {
		if i > 0 && i%3 == 0 {
			ADDQ(far, base)
		}
		pair(i, []Mem{{Base: base}, {Base: base, Index: in, Scale: 1}, {Base: base, Index: in, Scale: 2}}[i%3])
	}
	ADDQ(Imm(4), at)
	ADDQ(Imm(64), w)
	DECQ(left)
	JNZ(LabelRef("pair"))
	ADDQ(stride, src)
	DECQ(rows)
	JNZ(LabelRef("row"))
}

func zeros(sums []reg.VecVirtual) {
	for _, sum := range sums {
		if sum.Size() == 64 {
			VPXORD(sum, sum, sum)
		} else {
			VPXOR(sum, sum, sum)
		}
	}
}

func loadWeights(m Mem, v reg.VecVirtual) {
	if v.Size() == 64 {
		VMOVDQU32(m, v)
	} else {
		VMOVDQU(m, v)
	}
}

// limits loads what a sum is made a sample with.
func limits(register func() reg.VecVirtual) (shift reg.VecVirtual, bias Mem, low, high reg.VecVirtual) {
	bias = Mem{Base: param("bias")}
	shift = XMM()
	count := param("shift")
	VMOVQ(count, shift)
	return shift, bias, spread16("low", register()), spread16("high", register())
}

// store makes samples of the pixels' sums.
func store(sums []reg.VecVirtual, sample func(sum reg.VecVirtual, dst Mem)) {
	dst, out := param("dst"), param("out")
	for _, sum := range sums {
		sample(sum, Mem{Base: dst})
		ADDQ(out, dst)
	}
}

// store16 makes sixteen samples of a register of sums.
func store16(sum, shift reg.VecVirtual, bias Mem, low, high reg.VecVirtual, dst Mem) {
	VPADDD(bias, sum, sum)
	VPSRAD(shift, sum, sum)
	short := YMM()
	VPMOVSDW(sum, short)
	VPMAXSW(low, short, short)
	VPMINSW(high, short, short)
	VMOVDQU(short, dst)
}

// spread16 loads an int16 argument into all lanes.
func spread16(name string, v reg.VecVirtual) reg.VecVirtual {
	g := GP32()
	Load(Param(name), g.As16())
	VMOVD(g, v.AsX())
	VPBROADCASTW(v.AsX(), v)
	return v
}
