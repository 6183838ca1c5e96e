package vision

import (
	"math"

	"sizewright/internal/exact"
)

// MannosSakrison returns the relative contrast sensitivity at f cycles per degree, f >=
// 0. Source: J. L. Mannos and D. J. Sakrison, "The effects of a visual fidelity
// criterion on the encoding of images", IEEE Trans. Inf. Theory 20 (1974):
//
//	A(f) = 2.6 (0.0192 + 0.114 f) exp(-(0.114 f)^1.1)
//
// Its peak is close to 1, near 8 cycles per degree.
func MannosSakrison(f float64) float64 {
	x := float64(0.114 * f)
	return 2.6 * (0.0192 + x) * exact.Exp(-exact.Pow(x, 1.1))
}

// Barten returns the contrast sensitivity at f cycles per degree of an eye adapted to
// the given luminance, in cd/m², that looks at a square field with a side of
// fieldDegrees. It is the reciprocal of the Michelson contrast that is seen half of the
// time:
//
//	          5200 exp(-0.0016 f² (1 + 100/L)^0.08)
//	S = -------------------------------------------------------------------
//	    sqrt((1 + 144/X² + 0.64 f²) (63/L^0.83 + 1/(1 - exp(-0.02 f²))))
//
// Source: P. G. J. Barten, "Formula for the contrast sensitivity of the human eye",
// Proc. SPIE 5294 (2004). It is the short form, for both eyes of an average young
// observer with natural pupils, of the model in his "Contrast Sensitivity of the Human
// Eye and Its Effects on Image Quality", SPIE (1999). The result is 0 at f = 0;
// luminance and field must be above 0.
func Barten(f, luminance, fieldDegrees float64) float64 {
	f2 := f * f
	optics := exact.Exp(-0.0016 * f2 * exact.Pow(1+100/luminance, 0.08))
	integration := 1 + 144/(fieldDegrees*fieldDegrees) + float64(0.64*f2)
	noise := 63/exact.Pow(luminance, 0.83) + 1/(1-exact.Exp(-0.02*f2))
	return 5200 * optics / math.Sqrt(integration*noise)
}
