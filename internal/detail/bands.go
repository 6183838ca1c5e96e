package detail

import "math"

// bandCount is how many bands a large picture has: half octaves over six octaves.
const bandCount = 12

// Band is a half octave of spatial frequency.
type Band struct {
	Low  float64 `json:"low"`  // cycles per pixel: High divided by the root of 2
	High float64 `json:"high"` // cycles per pixel: 0.5 for the first, the Low of the band before for the others

	// Contrast is the rms contrast of the picture in the band, its noise taken
	// off: the standard deviation of luma (encoded, 0..1), as the root of the
	// mean of the tiles' variances.
	Contrast float64 `json:"contrast"`

	// Noise is the standard deviation of what was taken off.
	Noise float64 `json:"noise"`
}

// bandHigh is where band b begins at its fine end, in cycles per pixel.
func bandHigh(b int) float64 { return 0.5 * math.Pow(2, -float64(b)/2) }

// bandOf is the band of a frequency in cycles per pixel; -1 for none.
func bandOf(f float64) int {
	b := int(math.Floor(-2 * math.Log2(2*f) * (1 + 1e-12)))
	if f > 0.5 || b >= bandCount {
		return -1
	}
	return b
}
