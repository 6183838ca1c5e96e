package render

import "sizewright/internal/vector"

// toScalingLight takes the source rows to the values that are averaged: linear
// light for a reduction, and for an enlargement luma with its ends drawn out.
//
// That curve is a sigmoid: between black and white a ripple of the kernel is as
// high as ever, but near either, where the eye meets halos first, it is pressed flat
// when the print's rows come back through the curve. N. Robidoux, A. Thyssen:
// "Resizing with Colorspace Sigmoidization", ImageMagick examples, Filters. There
// it is a logistic curve around linear light; here the cubic
//
//	S(v) = v + k v (1-v) (2v-1),  0 <= k < 1
//
// around encoded luma, whose slope is 1-k at both ends and 1+k/2 in the middle, and
// which costs four multiplications. k is house practice, measured: see
// scripts/quality.sh.
func toScalingLight(r *Renderer, b *band) {
	for c := range r.channels {
		switch {
		case r.tone != nil:
			r.tone.Decode(b.source[c].pix)
		case c == 0 && r.curve != nil:
			r.curve.apply(b.source[c].pix)
		}
	}
}

// fromScalingLight takes the print's rows back to encoded luma and differences.
func fromScalingLight(r *Renderer, b *band) {
	if r.tone == nil {
		vector.Cubic(b.print[0].pix, float32(r.plan.Scale.Curve))
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
func sigmoid(v, k float64) float64 { return v + k*v*(1-v)*(2*v-1) }

// table is a function over 0..1 by even steps.
type table []float32

const tableSteps = 4096

// unsigmoid is the inverse of S, by halving.
func unsigmoid(k float64) table {
	t := make(table, tableSteps+1)
	for i := range t {
		want := float64(i) / tableSteps
		lo, hi := 0.0, 1.0
		for range 60 {
			if mid := (lo + hi) / 2; sigmoid(mid, k) < want {
				lo = mid
			} else {
				hi = mid
			}
		}
		t[i] = float32((lo + hi) / 2)
	}
	return t
}

// apply looks up every value, in place; values outside 0..1 are taken to the
// nearer end.
func (t table) apply(v []float32) {
	for i, x := range v {
		x = min(max(x, 0), 1) * tableSteps
		at := min(int(x), tableSteps-1)
		f := x - float32(at)
		v[i] = t[at] + float32(f*(t[at+1]-t[at]))
	}
}
