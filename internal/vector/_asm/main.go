// The generator of package vector's assembly, in avo: one function a loop, each
// the same sum in the same order as the plain loop beside it in package vector.
// Run it by "go generate" there. It is a module of its own so that sizewright
// itself does not depend on avo.
package main

import . "github.com/mmcloughlin/avo/build"

func main() {
	ConstraintExpr("!purego")
	weigh()
	for _, taps := range []int{2, 4, 6, 8, anyTaps} {
		stretch(taps)
	}
	bounds()
	hold()
	cubic()
	lookup()
	toYCC()
	toRGB()
	sharpen()
	interleave3()
	interleave4()
	difference16()
	bytes()
	Generate()
}
