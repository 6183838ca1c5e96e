// This program generates package vector's assembly with avo: one function per loop,
// with the same sums in the same order as the plain loop in package vector. Run it with
// "go generate" there. It is a module of its own so that sizewright does not depend on
// avo.
package main

import . "github.com/mmcloughlin/avo/build"

func main() {
	ConstraintExpr("!purego")
	weightedSum()
	for _, taps := range []int{2, 4, 6, 8, anyTaps} {
		resample(taps)
	}
	bounds()
	clampTo()
	cubic()
	lookup()
	toYCC()
	toRGB()
	sharpen()
	interleave3()
	interleave4()
	difference16()
	bytes()
	convolution()
	convolutionVNNI()
	convolution48()
	Generate()
}
