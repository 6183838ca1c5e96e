package detail

import "math"

// kernel is a filter of enlarging: its weight at a distance, within reach.
type kernel struct {
	reach float64
	at    func(x float64) float64
}

// cubic is the family of D. P. Mitchell and A. N. Netravali, "Reconstruction
// filters in computer graphics", SIGGRAPH 1988, equation 8.
func cubic(b, c float64) kernel {
	return kernel{2, func(x float64) float64 {
		if x < 1 {
			return ((12-9*b-6*c)*x*x*x + (-18+12*b+6*c)*x*x + 6 - 2*b) / 6
		}
		return ((-b-6*c)*x*x*x + (6*b+30*c)*x*x + (-12*b-48*c)*x + 8*b + 24*c) / 6
	}}
}

// kernels are those that pictures are usually enlarged by.
var kernels = map[string]kernel{
	"Lanczos":     {3, func(x float64) float64 { return sinc(x) * sinc(x/3) }},
	"Catmull-Rom": cubic(0, 0.5),
	"Mitchell":    cubic(1.0/3, 1.0/3),
	"triangle":    {1, func(x float64) float64 { return 1 - x }},
}

func sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// enlarged is the picture enlarged by a factor, and held to black and white.
func (p picture) enlarged(by float64, k kernel) picture {
	half := p.widened(by, k).turned()
	q := half.widened(by, k)
	for i, v := range q.v {
		q.v[i] = min(1, max(0, v))
	}
	return q
}

func (p picture) widened(by float64, k kernel) picture {
	q := picture{int(float64(p.w) * by), p.h, nil}
	q.v = make([]float64, q.w*q.h)
	across := k.weights(p.w, q.w, by)
	inParallel(q.h, func() func(int) {
		return func(y int) {
			row, out := p.v[y*p.w:][:p.w], q.v[y*q.w:][:q.w]
			for x, g := range across {
				v := 0.0
				for i, w := range g.weight {
					v += float64(w) * row[g.first+i]
				}
				out[x] = v
			}
		}
	})
	return q
}

// sharpened is an unsharp mask of sigma pixels: what a blur takes is added again,
// amount times, and the result is held to black and white.
func (p picture) sharpened(sigma, amount float64) picture {
	blur := kernel{math.Ceil(3 * sigma), func(x float64) float64 { return math.Exp(-x * x / (2 * sigma * sigma)) }}
	soft := p.widened(1, blur).turned().widened(1, blur).turned().turned().turned()
	q := picture{p.w, p.h, make([]float64, len(p.v))}
	for i, v := range p.v {
		q.v[i] = min(1, max(0, v+amount*(v-soft.v[i])))
	}
	return q
}

// factorBounds are how far off the factor may be found, as a share. The trade's
// tolerance is 15 %, which softer kernels miss on a texture, for their own softness
// is lost resolution too. Found at most 0.10, 0.12, 0.18 and 0.19 there.
var factorBounds = map[string]float64{"Lanczos": 0.15, "Catmull-Rom": 0.15, "Mitchell": 0.2, "triangle": 0.2}
