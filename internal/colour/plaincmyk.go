package colour

import "slices"

// PlainCMYK returns the simple conversion from CMYK to RGB, R = (1-C)(1-K) and so on,
// for a picture without a profile (common practice, no source; image/color does the
// same).
func PlainCMYK() *Transform {
	g, err := bake(slices.Repeat([][]float64{{0, 1}}, 4), 3, func() (func(dst, src []float64), error) {
		return func(dst, src []float64) {
			for c := range 3 {
				dst[c] = (1 - src[c]) * (1 - src[3])
			}
		}, nil
	})
	if err != nil {
		panic("colour: a formula cannot fail: " + err.Error())
	}
	return &Transform{In: 4, Out: 3, grid: g}
}
