package colour

import (
	"fmt"

	"sizewright/internal/vector"
)

// Tone converts encoded values to linear light and back along a profile's neutral axis.
// Averages, and so reductions, are correct only in linear light.
type Tone struct {
	decode *uniform
	encode *octaves
}

// Tone measures the profile's neutral axis (R = G = B, or grey, or equal inks), scaled
// so that white is 1 and black 0.
func (p *Profile) Tone() (t *Tone, err error) {
	defer recoverError(&err)
	curve, err := p.neutral()
	if err != nil {
		return nil, err
	}
	return &Tone{
		decode: newUniform(func(v float64) float64 { return sample(curve, v) }),
		encode: newOctaves(func(v float64) float64 { return inverseSample(curve, v) }),
	}, nil
}

// neutral returns the luminance of equal device values over 0..1, scaled from 0 to 1
// and non-decreasing.
func (p *Profile) neutral() ([]float64, error) {
	colour, err := p.toXYZ(Relative)
	if err != nil {
		return nil, err
	}
	curve := make([]float64, affineSamples+1)
	for i := range curve {
		v := float64(i) / affineSamples
		curve[i] = colour([]float64{v, v, v, v})[1]
	}
	lo, hi := curve[0], curve[affineSamples]
	if !(hi-lo > 0.05) {
		return nil, fmt.Errorf("%w: its white is not lighter than its black", errProfile)
	}
	for i := range curve {
		curve[i] = min(max((curve[i]-lo)/(hi-lo), 0), 1)
		if i > 0 {
			curve[i] = max(curve[i], curve[i-1])
		}
	}
	return curve, nil
}

// Decode converts encoded values to linear light in place. It clamps values to 0..1.
func (t *Tone) Decode(v []float32) {
	vector.Lookup(v, t.decode[:])
}

// Encode converts linear light to encoded values in place. It clamps values to 0..1.
func (t *Tone) Encode(v []float32) {
	for i, x := range v {
		v[i] = t.encode.at(x)
	}
}
