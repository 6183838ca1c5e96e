package vision

import "sizewright/internal/exact"

// VisibleShare returns the visible share, 0..1, of the contrast of detail at f cycles per
// degree with the given mean Michelson contrast, 0..1.
//
// An eye perceives a contrast minus its threshold t, and nothing below: J. J.
// Kulikowski, "Effective contrast constancy and linearity of contrast sensation",
// Vision Res. 16 (1976). At one frequency a picture has many contrasts, most of them
// small. Their distribution is taken to be exponential with mean b (D. J. Field, JOSA A
// 4 (1987), and S. G. Mallat, IEEE PAMI 11 (1989), found sharply peaked distributions
// with long tails; the exponential form is house judgement). The mean of max(contrast -
// t, 0) is then exp(-t/b) of b. This is a smooth function without parameters to adjust.
func (e Envelope) VisibleShare(f, mean float64) float64 {
	if !(mean > 0) {
		return 0
	}
	return exact.Exp(-1 / (e.At(f) * mean))
}
