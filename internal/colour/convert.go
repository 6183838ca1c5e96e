package colour

import "github.com/kovidgoyal/imaging/prism/meta/icc"

// gridSide is the number of grid points a side, by input channels.
var gridSide = map[int]int{1: 1025, 3: 33, 4: 17}

// ToSRGB bakes the chain from the profile's device values to sRGB, relative
// colorimetric with black point compensation: for previews, and for CMYK
// pictures on their way to an RGB print.
func (p *Profile) ToSRGB() (g *Grid, err error) {
	defer contain(&err)
	pipe, err := p.icc.CreateTransformerToSRGB(icc.RelativeColorimetricRenderingIntent, true, p.Channels, true, false, true)
	if err != nil {
		return nil, err
	}
	scratch := make([]float64, 16)
	return Bake(p.Channels, 3, gridSide[p.Channels], func(dst, src []float64) {
		copy(scratch, src)
		pipe.TransformGeneral(dst, scratch)
	}), nil
}

// PlainCMYK is the device formula from CMYK to RGB, R = (1-C)(1-K) and so on:
// a stand-in for a picture that came without a profile (common practice, no
// source; image/color does the same).
func PlainCMYK() *Grid {
	return Bake(4, 3, 2, func(dst, src []float64) {
		for c := range 3 {
			dst[c] = (1 - src[c]) * (1 - src[3])
		}
	})
}
