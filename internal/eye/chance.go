package eye

import (
	"math"

	"sizewright/internal/exact"
)

// slope is how steep seeing sets in with contrast: the exponent of the
// psychometric function, about 3.5 for contrast. R. F. Quick, "A vector-magnitude
// model of contrast detection", Kybernetik 16 (1974); A. B. Watson, "Probability
// summation over time", Vision Res. 19 (1979); value from memory.
const slope = 3.5

// Chance is the chance, 0..1, that contrast of so many times the threshold is
// seen: 1 - 2^(-times^3.5), the Weibull function in Quick's form, a half at
// threshold.
func Chance(times float64) float64 {
	if !(times > 0) {
		return 0
	}
	return -exact.Expm1(-math.Ln2 * exact.Pow(times, slope))
}

// Sensation is the share, 0..1, of its contrast that detail of f cycles per
// degree keeps to the eye, where the detail's contrasts have the given mean
// (Michelson, 0..1).
//
// What an eye sees of a contrast is the contrast less its threshold t, and nothing
// below: J. J. Kulikowski, "Effective contrast constancy and linearity of contrast
// sensation", Vision Res. 16 (1976). In pictures, contrasts of one fineness are
// not one value: most are small and some are large, about exponentially (D. J.
// Field, JOSA A 4 (1987), and S. G. Mallat, IEEE PAMI 11 (1989), found sharply peaked
// distributions with long tails; that it is this one is house judgement). For an
// exponential distribution with the mean b, the mean of what is left above t is
// exp(-t/b) of b. That is a smooth function with nothing in it to adjust.
func (e Envelope) Sensation(f, mean float64) float64 {
	if !(mean > 0) {
		return 0
	}
	return exact.Exp(-1 / (e.At(f) * mean))
}
