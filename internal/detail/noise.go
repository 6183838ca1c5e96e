package detail

import (
	"cmp"
	"math"
	"slices"
)

// House judgement, no source.
const (
	quarter     = 8     // px: side of the squares that planes are fitted to, as JPEG's blocks
	darkLuma    = 0.2   // below are shadows
	lightLuma   = 0.97  // above is paper white, where noise is cut off
	calmShare   = 0.1   // of the places: the calmest, without texture
	calmLeast   = 12    // places, fewer tell nothing
	uneven      = 6     // times: an edge passes where the squares of one place differ by more
	steepest    = 0.005 // per px: the foot of an edge is steeper, a sky never
	paintedSD   = 2e-5  // below this a place is flat by construction (a step of 16 bits is 1.5e-5)
	paintedPart = 0.25  // or below this share of what rounding gives
)

// noise is the standard deviation of noise in luma, by tone, and that of light
// tones where the picture is reduced to a half and a quarter.
type noise struct{ light, dark, half, quarter float64 }

// at is the noise where the luma is v.
func (n noise) at(v float32) float64 {
	if v < darkLuma {
		return n.dark
	}
	return n.light
}

// noiseOf measures noise in the calmest tenth of all places, light and dark
// apart. The variance that rounding made is taken off.
func noiseOf(tiles []tile, rounding float64) noise {
	var light, dark places
	painted := max(paintedSD*paintedSD, paintedPart*rounding)
	for _, t := range tiles {
		for y := 0; y+2*quarter <= t.h; y += 2 * quarter {
			for x := 0; x+2*quarter <= t.w; x += 2 * quarter {
				r, mean, ok := t.calm(x, y, painted)
				if !ok || mean > lightLuma {
					continue
				}
				p := place{r, t.reduced(x, y, 2), t.reduced(x, y, 4)}
				if mean < darkLuma {
					dark.add(p, painted)
				} else {
					light.add(p, painted)
				}
			}
		}
	}
	return noiseFrom(light.taken(), dark.taken(), rounding)
}

// place is a calm place: its variance, and that of the means of its 2 x 2 and 4 x 4
// pixels.
type place struct {
	reading
	half, quarter float64
}

// places are those of one tone.
type places struct{ noisy, painted []place }

func (p *places) add(at place, painted float64) {
	if at.a < painted && at.b < painted {
		p.painted = append(p.painted, at)
		return
	}
	p.noisy = append(p.noisy, at)
}

// taken leaves out painted places (a border, a burnt-out sky, lettering's
// ground), which say nothing of a photograph's noise, unless the picture is
// mostly of that kind.
func (p *places) taken() []place {
	if len(p.painted) > len(p.noisy) {
		return append(p.noisy, p.painted...)
	}
	return p.noisy
}

// noiseFrom lets either tone stand in for the other where it is too rare.
func noiseFrom(light, dark []place, rounding float64) noise {
	vl, okLight := least(readingsOf(light), calmShare, calmLeast)
	vd, okDark := least(readingsOf(dark), calmShare, calmLeast)
	if !okLight {
		vl, light = vd, dark
	}
	if !okDark {
		vd = vl
	}
	sd := func(v float64) float64 { return math.Sqrt(max(0, v-rounding)) }
	n := noise{light: sd(vl), dark: sd(vd)}
	half, quarter := reducedTo(light, rounding)
	n.half, n.quarter = n.light*half, n.light*quarter
	return n
}

func readingsOf(all []place) []reading {
	r := make([]reading, len(all))
	for i, p := range all {
		r[i] = p.reading
	}
	return r
}

// reducedTo is the shares of the deviation that a half and a quarter leave of the
// calmest places. Which those are is seen from the same noise, so that their
// deviations are less than all places' by chance; shares are not.
func reducedTo(all []place, rounding float64) (half, quarter float64) {
	all = slices.SortedFunc(slices.Values(all), func(p, q place) int { return cmp.Compare(p.a+p.b, q.a+q.b) })
	var whole, two, four float64
	for _, p := range all[:min(len(all), max(calmLeast, int(calmShare*float64(len(all)))))] {
		whole += float64((p.a+p.b)/2) - rounding
		two += p.half - float64(rounding/4)
		four += p.quarter - float64(rounding/16)
	}
	if whole <= 0 {
		return 0, 0
	}
	// Independent noise falls by the side, and no noise rises.
	half = min(max(math.Sqrt(max(two, 0)/whole), 0.5), 1)
	return half, min(max(math.Sqrt(max(four, 0)/whole), half/2), half)
}

// reduced is the variance of the means of n x n pixels about the plane that fits
// them best, over the place at (x0, y0).
func (t *tile) reduced(x0, y0, n int) float64 {
	w := 2 * quarter / n
	means := make([]float64, w*w)
	for y := range 2 * quarter {
		for x, v := range t.pix[(y0+y)*t.w+x0:][:2*quarter] {
			means[y/n*w+x/n] += float64(v) / float64(n*n)
		}
	}
	var s, sx, sy, xx, ss float64
	mid := float64(float64(w-1) / 2)
	for i, v := range means {
		x, y := float64(i%w)-mid, float64(i/w)-mid
		v -= means[0] // sums of small numbers keep their digits
		s, sx, sy, xx, ss = s+v, sx+float64(x*v), sy+float64(y*v), xx+float64(x*x), ss+float64(v*v)
	}
	return max(0, ss-float64(s*s)/float64(w*w)-(float64(sx*sx)+float64(sy*sy))/xx) / float64(w*w-3)
}

// calm reads the variance of the place of 2x2 squares at (x, y) about a plane in
// each square: the halves are the two diagonals. It is false where an edge
// passes, and where values are cut off at black or white, which hides noise.
func (t *tile) calm(x, y int, painted float64) (r reading, mean float32, ok bool) {
	var q [4]float64
	for i := range q {
		v, m, level := t.aboutPlane(x+i%2*quarter, y+i/2*quarter)
		if !level {
			return r, 0, false
		}
		q[i] = v
		mean += float32(m / 4)
	}
	ok = slices.Max(q[:]) <= uneven*max(painted, slices.Min(q[:]))
	return reading{(q[0] + q[3]) / 2, (q[1] + q[2]) / 2}, mean, ok
}

// aboutPlane is the variance of a square about the plane that fits it best by
// least squares, three numbers of it being spent on the plane. It is level if
// the plane is not steep and nothing is cut off at black or white.
func (t *tile) aboutPlane(x0, y0 int) (variance float64, mean float32, level bool) {
	const n = quarter * quarter
	const mid = (quarter - 1) / 2.0
	const square = n * (quarter*quarter - 1) / 12.0 // sum of (x-mid)² over the square
	base := t.pix[y0*t.w+x0]                        // sums of small numbers keep their digits
	var s, sx, sy, ss float32
	level = true
	for j := range quarter {
		var line float32
		for i, v := range t.pix[(y0+j)*t.w+x0:][:quarter] {
			level = level && v > 0 && v < 1
			v -= base
			line += v
			sx += float32((float32(i) - mid) * v)
			ss += float32(v * v)
		}
		s += line
		sy += float32((float32(j) - mid) * line)
	}
	dx, dy := float64(sx)/square, float64(sy)/square
	level = level && float64(dx*dx)+float64(dy*dy) < steepest*steepest
	rest := float64(ss) - float64(float64(s)*float64(s)/n) - float64(square*(float64(dx*dx)+float64(dy*dy)))
	return max(0, rest) / (n - 3), base + float32(s/n), level
}
