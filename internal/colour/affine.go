package colour

import "math"

// affine describes a profile as three curves and a matrix: XYZ = base + matrix x
// curve(device). It is derived by sampling the profile, whatever tags it has, and so is
// right for every intent.
type affine struct {
	base    XYZ
	matrix  [3][3]float64
	inverse [3][3]float64 // inverse of matrix
	curve   [3][]float64  // samples over 0..1, increasing from 0 to 1 or flat
}

// affineSamples is the length of an affine's curves. With it, linear interpolation is
// within 1/100 of a 16-bit step for gamma 1.8 to 2.4.
const affineSamples = 16384

// affineTolerance is the largest error, in XYZ, of the affine form on the test colours.
const affineTolerance = 2e-5

// affineOf returns the affine form of a profile, or nil if it has none.
func affineOf(f toXYZ) *affine {
	a := &affine{base: f([]float64{0, 0, 0, 0})}
	for c := range 3 {
		at := func(v float64) XYZ {
			d := make([]float64, 4)
			d[c] = v
			return minus(f(d), a.base)
		}
		full := at(1)
		norm := float64(full[0]*full[0]) + float64(full[1]*full[1]) + float64(full[2]*full[2])
		if norm < 1e-9 {
			return nil
		}
		for i := range 3 {
			a.matrix[i][c] = full[i]
		}
		a.curve[c] = make([]float64, affineSamples+1)
		last := 0.0
		for i := range a.curve[c] {
			v := at(float64(i) / affineSamples)
			last = max(last, (float64(v[0]*full[0])+float64(v[1]*full[1])+float64(v[2]*full[2]))/norm)
			a.curve[c][i] = min(last, 1)
		}
	}
	a.inverse = inverse(a.matrix)
	if !a.agrees(f) {
		return nil
	}
	return a
}

// agrees compares the affine form with the profile on a lattice of colours.
func (a *affine) agrees(f toXYZ) bool {
	steps := []float64{0, 0.004, 0.03, 0.11, 0.31, 0.53, 0.77, 0.93, 1}
	for _, r := range steps {
		for _, g := range steps {
			for _, b := range steps {
				d := []float64{r, g, b, 0}
				if v := minus(f(d), a.xyz(d)); math.Abs(v[0])+math.Abs(v[1])+math.Abs(v[2]) > 3*affineTolerance {
					return false
				}
			}
		}
	}
	return true
}

func (a *affine) xyz(d []float64) XYZ {
	var lin [3]float64
	for c := range lin {
		lin[c] = sample(a.curve[c], d[c])
	}
	m := mulVec(a.matrix, lin)
	return XYZ{a.base[0] + m[0], a.base[1] + m[1], a.base[2] + m[2]}
}

// linear returns the linear channel values of a colour. They are outside 0..1 for
// colours outside the gamut.
func (a *affine) linear(c XYZ) [3]float64 { return mulVec(a.inverse, minus(c, a.base)) }

// fromLightness returns the curves from the lightness of linear light to device values.
func (a *affine) fromLightness() (t [3]*octaves) {
	for c := range t {
		t[c] = newOctaves(func(v float64) float64 { return inverseSample(a.curve[c], luminance(v)) })
	}
	return t
}

// sample interpolates a curve.
func sample(curve []float64, v float64) float64 {
	x := float64(min(max(v, 0), 1) * float64(len(curve)-1))
	i := min(int(x), len(curve)-2)
	return curve[i] + float64((x-float64(i))*(curve[i+1]-curve[i]))
}

// inverseSample returns the position at which a non-decreasing curve reaches a value.
func inverseSample(curve []float64, want float64) float64 {
	lo, hi := 0, len(curve)-1
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; curve[mid] < want {
			lo = mid
		} else {
			hi = mid
		}
	}
	f := 0.0
	if d := curve[hi] - curve[lo]; d > 0 {
		f = min(max((want-curve[lo])/d, 0), 1)
	}
	return (float64(lo) + f) / float64(len(curve)-1)
}

func minus(a, b XYZ) XYZ { return XYZ{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
