package eye

import (
	"math"

	"sizewright/internal/exact"
)

// MannosSakrison is the relative contrast sensitivity at f cycles per degree, of J.
// L. Mannos and D. J. Sakrison, "The effects of a visual fidelity criterion on the
// encoding of images", IEEE Trans. Inf. Theory 20 (1974):
//
//	A(f) = 2.6 (0.0192 + 0.114 f) exp(-(0.114 f)^1.1)
//
// Its peak is close to 1, near 8 cycles per degree. f is not below 0.
func MannosSakrison(f float64) float64 {
	x := float64(0.114 * f)
	return 2.6 * (0.0192 + x) * exact.Exp(-exact.Pow(x, 1.1))
}

// Barten is the contrast sensitivity at f cycles per degree of an eye that is used
// to the luminance, in cd/m², and looks at a square field of so many degrees a
// side. It is the reciprocal of the Michelson contrast that is seen half the time:
//
//	          5200 exp(-0.0016 f² (1 + 100/L)^0.08)
//	S = -------------------------------------------------------------------
//	    sqrt((1 + 144/X² + 0.64 f²) (63/L^0.83 + 1/(1 - exp(-0.02 f²))))
//
// P. G. J. Barten, "Formula for the contrast sensitivity of the human eye", Proc.
// SPIE 5294 (2004): the short form, for both eyes of an average young observer with
// natural pupils, of the model in his "Contrast Sensitivity of the Human Eye and Its
// Effects on Image Quality", SPIE (1999). It is 0 at f = 0; luminance and field must
// be above 0.
func Barten(f, luminance, fieldDegrees float64) float64 {
	f2 := f * f
	optics := exact.Exp(-0.0016 * f2 * exact.Pow(1+100/luminance, 0.08))
	integration := 1 + 144/(fieldDegrees*fieldDegrees) + float64(0.64*f2)
	noise := 63/exact.Pow(luminance, 0.83) + 1/-exact.Expm1(-0.02*f2)
	return 5200 * optics / math.Sqrt(integration*noise)
}
