package vector

import "math"

// Shape is how an unsharp mask is shaped before it is added. All are of encoded
// values, 0..1 from black to white.
type Shape struct {
	Amount float32 // of the difference from the blur that is added
	// Limit is what the change never exceeds, approached smoothly: a change of
	// a tenth of it passes nearly whole. 0 is no limit.
	Limit float32
	// Noise is the change that is halved; smaller ones lose more, to nothing, and
	// larger ones less. 0 takes nothing away.
	Noise float32
	// ShadowFrom is the luma up to which nothing changes, and ShadowPer what
	// share of the change is added for each unit of luma above it, to the whole.
	// -1 and 1 let all of it through everywhere.
	ShadowFrom, ShadowPer float32
}

// tiny stands in for a mask of nothing where the share that is left would be
// 0/0. It is far below what a difference of two float32 lumas squares to.
const tiny = 1e-30

// Sharpen makes dst the luma with its difference from its blur added, shaped:
//
//	m   = Amount * (luma - blurred)
//	q   = m*m + 1e-30
//	m   = m * q/(q + Noise²) / √(1 + m²/Limit²)
//	dst = luma + m * clamp((luma - ShadowFrom) * ShadowPer), clamped
//
// where clamp is to 0..1. The first factor is coring in the form of a Wiener
// filter's gain, signal/(signal + noise) (N. Wiener, "Extrapolation,
// Interpolation, and Smoothing of Stationary Time Series", 1949); the second, a
// limit without a corner, and the shadow's ramp are house practice. The limit is
// taken of the change before coring.
//
// n is len(dst); luma and blurred have n samples at least. dst may be luma or
// blurred.
func Sharpen(dst, luma, blurred []float32, s Shape) {
	enough("Sharpen", "luma", len(luma), len(dst))
	enough("Sharpen", "blurred", len(blurred), len(dst))
	i := sharpenWide(dst, luma, blurred, s)
	sharpenPlain(dst[i:], luma[i:], blurred[i:], s)
}

// squares are Noise² and 1/Limit².
func (s Shape) squares() (noise2, perLimit2 float32) {
	if s.Limit > 0 {
		perLimit2 = float32(1 / (float64(s.Limit) * float64(s.Limit)))
	}
	return float32(s.Noise * s.Noise), perLimit2
}

func sharpenPlain(dst, luma, blurred []float32, s Shape) {
	luma, blurred = luma[:len(dst)], blurred[:len(dst)]
	noise2, perLimit2 := s.squares()
	for i, v := range luma {
		m := s.Amount * (v - blurred[i])
		q := float32(m * m)
		p := q + tiny
		// Both factors as one quotient: with neither it is exactly 1. The root of
		// a float32, rounded to one, is the same by way of float64.
		root := float32(math.Sqrt(float64(1 + float32(q*perLimit2))))
		m *= p / float32((p+noise2)*root)
		gate := min(max((v-s.ShadowFrom)*s.ShadowPer, 0), 1)
		dst[i] = min(max(v+float32(gate*m), 0), 1)
	}
}
