package main

import (
	"strconv"

	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

// anyTaps stands for a number of taps that is an argument.
const anyTaps = 0

func name(s string, n int) string {
	if n == anyTaps {
		return s
	}
	return s + strconv.Itoa(n)
}

// resample computes eight outputs at a time. Each lane's first source sample is 0 to 7
// after the first lane's, so for tap k the eight samples are among the eight starting
// at (first lane's + k): one permutation of a load selects them.
func resample(taps int) {
	s := resampling{taps: taps}
	fn, args := name("resample", taps), "dst, src *float32, first *int32, weight *float32, groups int"
	fn += "AVX2"
	if taps == anyTaps {
		args += ", taps int"
	}
	function(fn, "func("+args+")", fn+" computes groups of eight outputs; see Resampler.lineWide.")
	dst, src := param("dst"), param("src")
	first, groups := param("first"), param("groups")
	s.weight = param("weight")
	if taps == anyTaps {
		s.count = param("taps")
	}
	s.pick = YMM()
	every(1, groups, func(reg.GPVirtual) {
		at0, start := GP64(), YMM()
		MOVLQSX(Mem{Base: first}, at0)
		VPBROADCASTD(Mem{Base: first}, start)
		VMOVDQU(Mem{Base: first}, s.pick)
		VPSUBD(start, s.pick, s.pick)
		s.from = GP64()
		LEAQ(at(src, at0, 4, 0), s.from)
		VMOVUPS(s.sum(), Mem{Base: dst})
		ADDQ(Imm(32), dst)
		ADDQ(Imm(32), first)
	})
	done()
}

// resampling is the state of one resample function while it is generated.
type resampling struct {
	taps   int
	count  reg.Register // taps, for anyTaps
	weight reg.Register // advances over the weights
	from   reg.Register // the first lane's first source sample
	pick   reg.VecVirtual
}

func (s *resampling) picked(m Mem) reg.VecVirtual {
	y := YMM()
	VPERMPS(m, s.pick, y)
	return y
}

func (s *resampling) sum() reg.VecVirtual {
	if s.taps == anyTaps {
		return s.sumAny()
	}
	var sum reg.VecVirtual
	for k := range s.taps {
		product := mul(s.picked(Mem{Base: s.from, Disp: 4 * k}), Mem{Base: s.weight, Disp: 32 * k})
		if k == 0 {
			sum = product
		} else {
			VADDPS(product, sum, sum)
		}
	}
	ADDQ(U32(32*s.taps), s.weight)
	return sum
}

func (s *resampling) sumAny() reg.VecVirtual {
	sum, k := YMM(), GP64()
	VMULPS(Mem{Base: s.weight}, s.picked(Mem{Base: s.from}), sum)
	ADDQ(Imm(32), s.weight)
	MOVQ(U32(1), k)
	Label("tap")
	CMPQ(k, s.count)
	JGE(LabelRef("summed"))
	VADDPS(mul(s.picked(at(s.from, k, 4, 0)), Mem{Base: s.weight}), sum, sum)
	ADDQ(Imm(32), s.weight)
	INCQ(k)
	JMP(LabelRef("tap"))
	Label("summed")
	return sum
}
