package vector

import "math"

// SharpenOptions holds the parameters of [Sharpen]. Values are encoded, from 0 (black) to 1
// (white).
type SharpenOptions struct {
	Amount float32 // multiplies the difference from the blur
	// Limit is the largest change; it is approached smoothly, so a change of a tenth of
	// it passes nearly whole. 0 means no limit.
	Limit float32
	// Noise is the change that is halved. Smaller changes lose more, down to nothing,
	// and larger ones less. 0 means no reduction.
	Noise float32
	// ShadowFrom is the luma up to which nothing changes. Above it, the share of the
	// change that is added grows by ShadowPer per unit of luma, up to the whole change.
	// -1 and 1 let the whole change pass everywhere.
	ShadowFrom, ShadowPer float32
}

// tiny keeps the quotient from being 0/0 for a mask of 0. It is far below the square of
// any difference between two float32 lumas.
const tiny = 1e-30

// Sharpen sets dst to luma plus its difference from its blur, shaped:
//
//	m   = Amount * (luma - blurred)
//	q   = m*m + 1e-30
//	m   = m * q/(q + Noise²) / √(1 + m²/Limit²)
//	dst = luma + m * clamp((luma - ShadowFrom) * ShadowPer), clamped
//
// where clamp is to 0..1. The first factor is coring in the form of a Wiener filter's
// gain, signal/(signal + noise) (N. Wiener, "Extrapolation, Interpolation, and
// Smoothing of Stationary Time Series", 1949). The second, a smooth limit, uses the
// change before coring; it and the shadow ramp are house judgement.
//
// n is len(dst); luma and blurred must have at least n samples. dst may be luma or
// blurred.
func Sharpen(dst, luma, blurred []float32, s SharpenOptions) {
	checkLen("Sharpen", "luma", len(luma), len(dst))
	checkLen("Sharpen", "blurred", len(blurred), len(dst))
	i := sharpenWide(dst, luma, blurred, s)
	sharpenPlain(dst[i:], luma[i:], blurred[i:], s)
}

// squares returns Noise² and 1/Limit² (0 for no limit).
func (s SharpenOptions) squares() (noise2, perLimit2 float32) {
	if s.Limit > 0 {
		perLimit2 = float32(1 / (float64(s.Limit) * float64(s.Limit)))
	}
	return float32(s.Noise * s.Noise), perLimit2
}

func sharpenPlain(dst, luma, blurred []float32, s SharpenOptions) {
	luma, blurred = luma[:len(dst)], blurred[:len(dst)]
	noise2, perLimit2 := s.squares()
	for i, v := range luma {
		m := s.Amount * (v - blurred[i])
		q := float32(m * m)
		p := q + tiny
		// Both factors are computed as one quotient, which is exactly 1 without either.
		// A float32's square root computed in float64 and rounded is the correctly
		// rounded float32 root.
		root := float32(math.Sqrt(float64(1 + float32(q*perLimit2))))
		m *= p / float32((p+noise2)*root)
		gate := min(max((v-s.ShadowFrom)*s.ShadowPer, 0), 1)
		dst[i] = min(max(v+float32(gate*m), 0), 1)
	}
}
