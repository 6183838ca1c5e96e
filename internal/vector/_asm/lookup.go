package main

import (
	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

func lookup() {
	function("lookupAVX2", "func(dst *float32, n int, table *float32, steps float32, last int32)",
		"lookupAVX2 is Lookup for n, a multiple of eight; last is the table's last step.")
	dst, n, table, steps := param("dst"), param("n"), param("table"), spread("steps")
	none, one := zero(), constant("one", 1)
	low, last := XMM(), YMM()
	VMOVD(Load(Param("last"), GP32()), low)
	VPBROADCASTD(low, last)
	every(8, n, func(i reg.GPVirtual) {
		x := mul(clamp(load(at(dst, i, 4, 0)), none, one), steps)
		step, whole := YMM(), YMM()
		VCVTTPS2DQ(x, step)
		VPMINSD(last, step, step)
		VCVTDQ2PS(step, whole)
		a := gather(table, step, 0)
		b := gather(table, step, 4)
		VMOVUPS(add(a, mul(sub(x, whole), sub(b, a))), at(dst, i, 4, 0))
	})
	done()
}

// gather loads eight floats of a table, disp bytes after the indexed ones.
func gather(table, index reg.Register, disp int) reg.VecVirtual {
	all, y := YMM(), YMM()
	VPCMPEQD(all, all, all)
	VXORPS(y, y, y)
	VGATHERDPS(all, Mem{Base: table, Index: index, Scale: 4, Disp: disp}, y)
	return y
}
