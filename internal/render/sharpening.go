package render

import (
	"sizewright/internal/exact"
	"sizewright/internal/vector"
)

// Sharpening is one of the three stages of sharpening, with its numbers.
//
// Each stage adds a mask to luma (of encoded values, close to lightness: both
// follow the cube root of luminance within a few per cent) and leaves the
// differences R-Y and B-Y alone, so hue does not move. With G a Gaussian blur of
// the given radius, its sigma, the masks are
//
//	pre-sharpening     a ((L - G L) + (L - G L) - G (L - G L))   on the picture's pixels
//	scale sharpening   a (L - G L)                               on the print's
//	output sharpening  a (L - G L)                               on the print's
//
// Pre-sharpening is a deconvolution: two terms of the series of P. H. van Cittert
// (Z. Physik 69, 1931), which converges to the inverse of the blur G. Package order says
// how the numbers are chosen.
//
// A mask m is limited in this order (house judgement, except for the sources):
//
//	noise    m q/(q+t²), q = m², see [NoiseThreshold]
//	edges    m / sqrt(1 + q/limit²): a halo never exceeds the limit
//	shadows  nothing below luma 0.02, the full mask from the given luma
type Sharpening struct {
	Applied  bool    `json:"applied"`
	RadiusPX float64 `json:"radius_px"` // sigma, in pixels of the raster it works on
	Amount   float64 `json:"amount"`
	Noise    float64 `json:"noise"`  // a change this small is halved, in encoded values 0..1
	Limit    float64 `json:"limit"`  // no change is larger
	Shadow   float64 `json:"shadow"` // luma from which the full mask is added
}

// shadowFrom is the luma below which nothing is sharpened.
const shadowFrom = 0.02

// shape returns the stage's numbers for package vector.
func (s Sharpening) shape() vector.SharpenOptions {
	return vector.SharpenOptions{
		Amount: float32(s.Amount), Noise: float32(s.Noise), Limit: float32(s.Limit),
		ShadowFrom: shadowFrom, ShadowPer: float32(1 / (s.Shadow - shadowFrom)),
	}
}

// Masks returns the response of scale and output sharpening's mask, a (1 - G), to a sine
// of fx, fy cycles a pixel; 0 if the stage is not applied.
func (s Sharpening) Masks(fx, fy float64) float64 {
	if !s.Applied {
		return 0
	}
	return s.Amount * (1 - GaussianResponse(s.RadiusPX, exact.Hypot(fx, fy)))
}

// Deblurs returns the response of pre-sharpening's mask, a (1 - G) (2 - G).
func (s Sharpening) Deblurs(fx, fy float64) float64 {
	g := GaussianResponse(s.RadiusPX, exact.Hypot(fx, fy))
	return s.Amount * (1 - g) * (2 - g)
}
