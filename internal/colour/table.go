package colour

import "math"

// uniform is a curve over 0..1 in equal steps.
type uniform [uniformSteps + 1]float32

const uniformSteps = 4096

func newUniform(f func(float64) float64) *uniform {
	t := &uniform{}
	for i := range uniformSteps + 1 {
		t[i] = float32(f(float64(i) / uniformSteps))
	}
	return t
}

// at interpolates the curve; x is clamped to 0..1.
func (t *uniform) at(x float32) float32 {
	x = float32(x * uniformSteps)
	i := uint32(int32(x))
	if i >= uniformSteps { // negative numbers too
		return t.end(x)
	}
	a := t[i]
	return a + float32((x-float32(i))*(t[i+1]-a))
}

func (t *uniform) end(x float32) float32 {
	if x > 0 {
		return t[uniformSteps]
	}
	return t[0]
}

// octaves is a curve over 0..1 whose steps halve with each octave towards 0. The
// inverse of a tone curve needs that, because its slope near 0 is steep. With 128 steps
// per octave, x^(1/2.4) is within a fifth of a 16-bit step.
type octaves [octaveCount*octaveSteps + 1]float32

const (
	octaveCount = 36 // down to 2^-36, where x^(1/2.2) is less than a 16-bit step; linear below
	octaveSteps = 128
	octaveShift = 23 - 7 // mantissa bits below a step
)

const octaveMin = (127 - 36) << 23 // the bits of 2^-36

func newOctaves(f func(float64) float64) *octaves {
	t := &octaves{}
	for i := range octaveCount*octaveSteps + 1 {
		t[i] = float32(f(float64(math.Float32frombits(octaveMin + uint32(i)<<octaveShift))))
	}
	return t
}

// at interpolates the curve; x is clamped to 0..1.
func (t *octaves) at(x float32) float32 {
	d := math.Float32bits(x) - octaveMin
	if d >= octaveCount<<23 { // below the table, negative, or 1 and more
		return t.end(x)
	}
	i := d >> octaveShift
	f := float32(d&(1<<octaveShift-1)) * (1.0 / (1 << octaveShift))
	a := t[i]
	return a + float32(f*(t[i+1]-a))
}

func (t *octaves) end(x float32) float32 {
	if x >= 1 {
		return t[octaveCount*octaveSteps]
	}
	return t[0] * max(x, 0) * 0x1p36
}
