package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

// weightedSum keeps 32 sums in four registers over all rows, then eight in one for the
// rest.
func weightedSum() {
	function("weightedSumAVX2", "func(dst *float32, rows *[]float32, w *float32, count, from, to int)",
		"weightedSumAVX2 computes outputs from to to, a multiple of eight, of count >= 1 rows.")
	dst, rows, w := param("dst"), param("rows"), param("w")
	count, i, to := param("count"), GP64(), param("to")
	Load(Param("from"), i)
	left := GP64()
	for _, floats := range []int{32, 8} {
		Label(name("wide", floats))
		MOVQ(to, left)
		SUBQ(i, left)
		CMPQ(left, Imm(uint64(floats)))
		JLT(LabelRef(name("below", floats)))
		weightedSumOnce(dst, rows, w, count, i, floats)
		ADDQ(Imm(uint64(floats)), i)
		JMP(LabelRef(name("wide", floats)))
		Label(name("below", floats))
	}
	done()
}

func weightedSumOnce(dst, rows, w, count, i reg.Register, floats int) {
	// A slice header is three words: its pointer, length and capacity.
	header, row, k := GP64(), GP64(), GP64()
	sums := make([]reg.VecVirtual, floats/8)
	weight := YMM()
	MOVQ(rows, header)
	MOVQ(Mem{Base: header}, row)
	VBROADCASTSS(Mem{Base: w}, weight)
	for j := range sums {
		sums[j] = mul(weight, at(row, i, 4, 32*j))
	}
	MOVQ(U32(1), k)
	Label(name("row", floats))
	CMPQ(k, count)
	JGE(LabelRef(name("summed", floats)))
	ADDQ(Imm(24), header)
	MOVQ(Mem{Base: header}, row)
	VBROADCASTSS(at(w, k, 4, 0), weight)
	for j, sum := range sums {
		VADDPS(mul(weight, at(row, i, 4, 32*j)), sum, sum)
	}
	INCQ(k)
	JMP(LabelRef(name("row", floats)))
	Label(name("summed", floats))
	for j, sum := range sums {
		VMOVUPS(sum, at(dst, i, 4, 32*j))
	}
}
