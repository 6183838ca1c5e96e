package main

import (
	. "github.com/mmcloughlin/avo/build"
	"github.com/mmcloughlin/avo/reg"
)

// bends returns the curvatures of one side of eight cells from its four samples: how
// far a trough may go below, and a peak above.
func bends(p, q, r, s, none reg.VecVirtual) (trough, crest reg.VecVirtual) {
	d1 := sub(add(p, r), add(q, q))
	d2 := sub(add(q, s), add(r, r))
	return upper(lower(d1, d2), none), lower(upper(d1, d2), none)
}

func bounds() {
	function("boundsAVX2", "func(lo, hi, above, top, bottom, below *float32, n int, half float32)",
		"boundsAVX2 is Bounds for n cells, a multiple of eight.")
	lo, hi := param("lo"), param("hi")
	above, top, bottom, below := param("above"), param("top"), param("bottom"), param("below")
	n, half := param("n"), spread("half")
	none := zero()
	every(8, n, func(i reg.GPVirtual) {
		on := func(row reg.Register, j int) reg.VecVirtual { return load(at(row, i, 4, 4*j)) }
		b, c, d, e := on(top, 1), on(top, 2), on(bottom, 1), on(bottom, 2)
		trough1, crest1 := bends(on(top, 0), b, c, on(top, 3), none)
		trough2, crest2 := bends(on(bottom, 0), d, e, on(bottom, 3), none)
		troughs, crests := add(trough1, trough2), add(crest1, crest2)
		trough1, crest1 = bends(on(above, 1), b, d, on(below, 1), none)
		trough2, crest2 = bends(on(above, 2), c, e, on(below, 2), none)
		troughs, crests = add(troughs, add(trough1, trough2)), add(crests, add(crest1, crest2))
		VMOVUPS(sub(lower(lower(b, c), lower(d, e)), mul(half, troughs)), at(lo, i, 4, 0))
		VMOVUPS(sub(upper(upper(b, c), upper(d, e)), mul(half, crests)), at(hi, i, 4, 0))
	})
	done()
}

func clampTo() {
	function("clampToAVX2", "func(dst, lo0, lo1, hi0, hi1 *float32, n int, w0, w1 float32)",
		"clampToAVX2 is ClampTo for n, a multiple of eight.")
	dst := param("dst")
	lo0, lo1, hi0, hi1 := param("lo0"), param("lo1"), param("hi0"), param("hi1")
	n, w0, w1 := param("n"), spread("w0"), spread("w1")
	every(8, n, func(i reg.GPVirtual) {
		lo := add(mul(w0, at(lo0, i, 4, 0)), mul(w1, at(lo1, i, 4, 0)))
		hi := add(mul(w0, at(hi0, i, 4, 0)), mul(w1, at(hi1, i, 4, 0)))
		VMOVUPS(clamp(load(at(dst, i, 4, 0)), lo, hi), at(dst, i, 4, 0))
	})
	done()
}
