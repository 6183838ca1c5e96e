package main

import (
	"math"

	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

// function starts an assembly function that does not keep its pointer arguments.
func function(name, signature, doc string) {
	TEXT(name, NOSPLIT, signature)
	Doc(doc)
	Pragma("noescape")
}

// done ends the function. The upper halves of the registers must be zero before SSE
// code runs.
func done() {
	VZEROUPPER()
	RET()
}

// every repeats body with i = 0, step, 2 step ... below n.
func every(step uint64, n reg.Register, body func(i reg.GPVirtual)) {
	i := GP64()
	XORQ(i, i)
	CMPQ(i, n)
	JGE(LabelRef("done"))
	Label("loop")
	body(i)
	ADDQ(Imm(step), i)
	CMPQ(i, n)
	JLT(LabelRef("loop"))
	Label("done")
}

// param loads an integer or pointer argument into a register.
func param(name string) reg.Register { return Load(Param(name), GP64()) }

// spread loads a float argument into all eight lanes.
func spread(name string) reg.VecVirtual {
	x, y := XMM(), YMM()
	Load(Param(name), x)
	VBROADCASTSS(x, y)
	return y
}

var constants = map[float32]Mem{}

// constant loads a number into all eight lanes.
func constant(name string, v float32) reg.VecVirtual {
	m, ok := constants[v]
	if !ok {
		m = ConstData(name, U32(math.Float32bits(v)))
		constants[v] = m
	}
	y := YMM()
	VBROADCASTSS(m, y)
	return y
}

func zero() reg.VecVirtual {
	y := YMM()
	VXORPS(y, y, y)
	return y
}

// at returns the address of item i, of size bytes, plus disp bytes.
func at(base, i reg.Register, size uint8, disp int) Mem {
	return Mem{Base: base, Index: i, Scale: size, Disp: disp}
}

// load loads eight floats.
func load(m Mem) reg.VecVirtual {
	y := YMM()
	VMOVUPS(m, y)
	return y
}

// Sums and the like with a result of their own; the second may be memory.

func add(a reg.Register, b Op) reg.VecVirtual { y := YMM(); VADDPS(b, a, y); return y }
func sub(a reg.Register, b Op) reg.VecVirtual { y := YMM(); VSUBPS(b, a, y); return y }
func mul(a reg.Register, b Op) reg.VecVirtual { y := YMM(); VMULPS(b, a, y); return y }
func lower(a reg.Register, b Op) reg.VecVirtual {
	y := YMM()
	VMINPS(b, a, y)
	return y
}
func upper(a reg.Register, b Op) reg.VecVirtual {
	y := YMM()
	VMAXPS(b, a, y)
	return y
}

// clamp returns v clamped to lo..hi.
func clamp(v, lo, hi reg.Register) reg.VecVirtual { return lower(upper(v, lo), hi) }
