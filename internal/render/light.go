package render

import "sizewright/internal/vector"

// toScalingLight converts the source rows to the values that are averaged: linear light
// for a reduction; for an enlargement, luma through a curve.
//
// That curve is a sigmoid. Between black and white a ripple of the kernel keeps its
// height, but near either, where halos are most visible, it is flattened when the
// print's rows come back through the curve. N. Robidoux, A. Thyssen:
// "Resizing with Colorspace Sigmoidization", ImageMagick examples, Filters. There
// it is a logistic curve around linear light; here the cubic
//
//	S(v) = v + k v (1-v) (2v-1),  0 <= k < 1
//
// around encoded luma, whose slope is 1-k at both ends and 1+k/2 in the middle, and
// which costs four multiplications. k is house judgement, measured: see
// scripts/quality.sh.
func toScalingLight(r *Renderer, b *band) {
	for c := range r.channels {
		switch {
		case r.tone != nil:
			r.tone.Decode(b.source[c].pix)
		case c == 0 && r.curve != nil:
			vector.Lookup(b.source[c].pix, r.curve)
		}
	}
}

// fromScalingLight converts the print's rows back to encoded luma and differences.
func fromScalingLight(r *Renderer, b *band) {
	if r.tone == nil {
		vector.Cubic(b.print[0].pix, float32(r.recipe.Scale.Curve))
		return
	}
	for c := range r.channels {
		r.tone.Encode(b.print[c].pix)
	}
	if r.channels == 3 {
		vector.ToYCC(b.print[0].pix, b.print[1].pix, b.print[2].pix)
	}
}

// sigmoid is the cubic S.
func sigmoid(v, k float64) float64 { return v + float64(k*v*(1-v)*(float64(2*v)-1)) }

// curveSteps is enough for linear interpolation between steps to be right to 1e-7.
const curveSteps = 4096

// unsigmoid returns the inverse of S in even steps over 0..1, by bisection.
func unsigmoid(k float64) []float32 {
	t := make([]float32, curveSteps+1)
	for i := range t {
		want := float64(i) / curveSteps
		lo, hi := 0.0, 1.0
		for range 60 {
			if mid := float64((lo + hi) / 2); sigmoid(mid, k) < want {
				lo = mid
			} else {
				hi = mid
			}
		}
		t[i] = float32((lo + hi) / 2)
	}
	return t
}
