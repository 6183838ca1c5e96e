package colour

import (
	"math"

	"github.com/kovidgoyal/imaging/prism/meta/icc"
)

// Black point compensation follows ISO 18619:2015: a scaling in XYZ that maps the
// source's black to the destination's and keeps white.

// compensation is v' = gain x v + offset in each of X, Y, Z.
type compensation struct{ gain, offset XYZ }

var none = compensation{gain: XYZ{1, 1, 1}}

func (k compensation) of(c XYZ) XYZ {
	for i := range c {
		c[i] = float64(k.gain[i]*c[i]) + k.offset[i]
	}
	return c
}

// compensationFor returns the compensation that maps the black in to the black out.
func compensationFor(in, out XYZ) (k compensation) {
	for i := range in {
		t := in[i] - D50[i]
		k.gain[i] = (out[i] - D50[i]) / t
		k.offset[i] = -D50[i] * (out[i] - in[i]) / t
	}
	return k
}

// compensates reports whether a chain to this profile uses black point compensation:
// never for the absolute intent, always for the perceptual and saturation tables of a
// v4 profile (whose black is fixed by ICC.1:2022 annex D.1), otherwise as asked.
func (p *Profile) compensates(intent Intent, asked bool) bool {
	switch {
	case intent == Absolute:
		return false
	case p.fixedBlack(intent):
		return true
	}
	return asked
}

// black returns the black point of a source profile.
func (p *Profile) black(intent Intent) (XYZ, error) {
	i, err := intent.icc()
	if err != nil {
		return XYZ{}, err
	}
	b := p.icc.BlackPoint(i, nil)
	return XYZ{b.X, b.Y, b.Z}, nil
}

// destinationBlack returns the black point of a destination profile. A profile's tables
// may not reach the black that it states. So the neutral axis is converted to the
// profile and back, and the black is where the resulting curve starts to rise (the
// procedure of ISO 18619:2015 and of "Adobe Systems' Implementation of Black Point
// Compensation", 2006, with their constants; from memory of Little CMS's version).
func (p *Profile) destinationBlack(intent Intent) (XYZ, error) {
	first, err := p.black(intent)
	if err != nil || !p.hasTables(intent) {
		return first, err
	}
	initial := first.Lab()
	if intent != Relative {
		initial = Lab{}
	}
	ramp, err := p.neutralRoundTrip(intent, initial)
	if err != nil {
		return XYZ{}, err
	}
	lo, hi := ramp[0], ramp[255]
	if lo >= hi {
		return XYZ{}, nil
	}
	if intent == Relative && nearlyStraight(ramp) {
		return initial.XYZ(), nil
	}
	l, ok := toe(ramp, intent)
	if !ok {
		return XYZ{}, nil
	}
	return Lab{l, initial[1], initial[2]}.XYZ(), nil
}

// hasTables reports whether the profile has a table for converting colours to it with
// this intent.
func (p *Profile) hasTables(intent Intent) bool {
	return p.icc.TagTable.Has(map[Intent]icc.Signature{
		Perceptual: icc.BToA0TagSignature, Relative: icc.BToA1TagSignature,
		Saturation: icc.BToA2TagSignature, Absolute: icc.BToA1TagSignature,
	}[intent])
}

// fixedBlack reports whether the profile's black is fixed by ICC.1:2022 annex D.1. The
// ICC package compensates for it by itself.
func (p *Profile) fixedBlack(intent Intent) bool {
	return p.icc.Header.Version.Major >= 4 && (intent == Perceptual || intent == Saturation)
}

// neutralRoundTrip returns the L* that results from converting each of 256 values of
// L* to the profile and back.
func (p *Profile) neutralRoundTrip(intent Intent, initial Lab) ([]float64, error) {
	there, err := p.fromXYZ(intent)
	if err != nil {
		return nil, err
	}
	back, err := p.toXYZ(Relative)
	if err != nil {
		return nil, err
	}
	ramp, device := make([]float64, 256), make([]float64, 4)
	for i := range ramp {
		there(device, Lab{rampL(i), min(max(initial[1], -50), 50), min(max(initial[2], -50), 50)}.XYZ())
		ramp[i] = back(device).Lab()[0]
	}
	for i := 254; i > 0; i-- {
		ramp[i] = min(ramp[i], ramp[i+1])
	}
	return ramp, nil
}

func rampL(i int) float64 { return float64(i) * 100 / 255 }

func nearlyStraight(ramp []float64) bool {
	shadow := ramp[0] + float64(0.2*(ramp[255]-ramp[0]))
	for i, out := range ramp {
		if in := rampL(i); in > shadow && math.Abs(in-out) >= 4 {
			return false
		}
	}
	return true
}

// toe fits a parabola to the shadows of the ramp and returns its root.
func toe(ramp []float64, intent Intent) (float64, bool) {
	lo, hi := 0.03, 0.25
	if intent == Relative {
		lo, hi = 0.1, 0.5
	}
	var x, y []float64
	for i, out := range ramp {
		if v := (out - ramp[0]) / (ramp[255] - ramp[0]); v >= lo && v < hi {
			x, y = append(x, rampL(i)), append(y, v)
		}
	}
	if len(x) < 3 {
		return 0, false
	}
	a, b, c := parabola(x, y)
	if math.Abs(a) < 1e-10 {
		return min(max(-c/b, 0), 50), true
	}
	d := float64(b*b) - float64(4*a*c)
	if d <= 0 {
		return 0, true
	}
	return min(max((-b+math.Sqrt(d))/(2*a), 0), 50), true
}

// parabola returns the least-squares fit y = a x^2 + b x + c.
func parabola(x, y []float64) (a, b, c float64) {
	var m [3][3]float64
	var v [3]float64
	for i := range x {
		p := [3]float64{1, x[i], x[i] * x[i]}
		for j := range 3 {
			v[j] += float64(y[i] * p[j])
			for k := range 3 {
				m[j][k] += float64(p[j] * p[k])
			}
		}
	}
	r := mulVec(inverse(m), v)
	return r[2], r[1], r[0]
}
