package colour

// ToSRGB bakes the chain from the profile's device values to sRGB, relative
// colorimetric with black point compensation: for previews, and for CMYK
// pictures on their way to an RGB print.
func (p *Profile) ToSRGB() (*Transform, error) { return p.to(SRGBProfile()) }

// ToROMM is ToSRGB for pictures on their way to another profile: nothing that
// a picture holds is lost in it.
func (p *Profile) ToROMM() (*Transform, error) { return p.to(ROMMProfile()) }

func (p *Profile) to(builtin []byte) (*Transform, error) {
	dest, err := ParseProfile(builtin)
	if err != nil {
		return nil, err
	}
	return Chain{From: p, To: dest, Intent: Relative, BlackPoint: true}.Bake()
}

// PlainCMYK is the device formula from CMYK to RGB, R = (1-C)(1-K) and so on:
// a stand-in for a picture that came without a profile (common practice, no
// source; image/color does the same).
func PlainCMYK() *Transform {
	g, err := Bake(4, 3, 2, func() (func(dst, src []float64), error) {
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
