package colour

import (
	"fmt"
	"math"
)

// toneEntries is the size of a tone curve's tables.
const toneEntries = 4096

// Tone maps encoded values to linear light and back along a profile's neutral
// axis. Averaging is only right in linear light: reduce there.
type Tone struct {
	decode [toneEntries + 2]float32 // by encoded value
	encode [toneEntries + 2]float32 // by the square root of linear light, where every common curve is nearly straight
}

// Tone measures the profile's neutral axis (R = G = B, or grey, or the curve of
// equal inks), scaled so that white is 1 and black 0.
func (p *Profile) Tone() (t *Tone, err error) {
	defer contain(&err)
	lum, err := p.Luminance()
	if err != nil {
		return nil, err
	}
	in := make([]float64, p.Channels)
	return newTone(func(v float64) float64 {
		for i := range in {
			in[i] = v
		}
		return lum(in...)
	})
}

// newTone tabulates f, which must not fall, and its inverse.
func newTone(f func(float64) float64) (*Tone, error) {
	raw := make([]float64, toneEntries+1)
	for i := range raw {
		raw[i] = f(float64(i) / toneEntries)
	}
	lo, hi := raw[0], raw[toneEntries]
	if !(hi-lo > 0.05) {
		return nil, fmt.Errorf("%w: its white is not lighter than its black", errProfile)
	}
	for i := range raw {
		raw[i] = min(max((raw[i]-lo)/(hi-lo), 0), 1)
		if i > 0 {
			raw[i] = max(raw[i], raw[i-1])
		}
	}
	t := &Tone{}
	for i, v := range raw {
		t.decode[i] = float32(v)
	}
	t.decode[toneEntries+1] = 1
	t.invert(raw)
	return t, nil
}

// invert fills encode by walking up the non-falling table once.
func (t *Tone) invert(raw []float64) {
	j := 0
	for i := range t.encode {
		s := min(float64(i)/toneEntries, 1)
		want := s * s
		for j < toneEntries-1 && raw[j+1] < want {
			j++
		}
		frac := 0.0
		if d := raw[j+1] - raw[j]; d > 0 {
			frac = min(max((want-raw[j])/d, 0), 1)
		}
		t.encode[i] = float32((float64(j) + frac) / toneEntries)
	}
}

// Decode turns encoded values into linear light, in place; values outside 0..1
// are taken to the nearer end.
func (t *Tone) Decode(v []float32) {
	for i, x := range v {
		v[i] = lookup(&t.decode, x)
	}
}

// Encode turns linear light into encoded values, in place; values outside 0..1
// are taken to the nearer end.
func (t *Tone) Encode(v []float32) {
	for i, x := range v {
		v[i] = lookup(&t.encode, float32(math.Sqrt(float64(max(x, 0)))))
	}
}

func lookup(table *[toneEntries + 2]float32, x float32) float32 {
	x = min(max(x, 0), 1) * toneEntries
	i := int(x)
	a := table[i]
	return a + (x-float32(i))*(table[i+1]-a)
}
