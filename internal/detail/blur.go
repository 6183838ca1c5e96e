package detail

import (
	"math"

	"sizewright/internal/exact"
)

// House judgement, no source.
const (
	sharpShare = 0.1 // of the edges: the plane in focus
	sharpLeast = 6   // edges; fewer tell nothing
	halfLeast  = 6   // px of edge in each half of an edge
	blurReach  = 4   // px of the second blur's kernel
	windowSD   = 1.0 // px: sigma of the window that energy is weighed by
	windowRch  = 3   // px
	softest    = 6.0 // px: nothing softer is told apart
)

// fourthCumulant is that of pixel and slope together, in px⁴: -L⁴/120 for each
// box of width L, which is -(1+16)/120 for an upright edge and -(1/2+4)/120 for
// one at 45 degrees; the mean of both.
const fourthCumulant = -(17 + 4.5) / 2 / 120

// second is the second blur: a Gaussian of about 1.25 px, cut off at blurReach;
// wide enough that edges of up to 2.5 px fall by a tenth, narrow enough to keep
// neighbouring edges apart.
var second = newSecondBlur(1.25)

type secondBlur struct {
	half       []float32
	variance   float64 // of the kernel as cut off
	slopeNoise float64 // variance of the slope after it, for white noise of variance 1
}

func newSecondBlur(sigma float64) secondBlur {
	k := make([]float64, 2*blurReach+1)
	sum := 0.0
	for i := range k {
		d := float64(i - blurReach)
		k[i] = exact.Exp(-d * d / (2 * sigma * sigma))
		sum += k[i]
	}
	b := secondBlur{half: make([]float32, blurReach+1)}
	for i := range k {
		k[i] /= sum
		d := float64(i - blurReach)
		b.variance += float64(k[i] * d * d)
		if i >= blurReach {
			b.half[i-blurReach] = float32(k[i])
		}
	}
	b.slopeNoise = energyOf(k, []float64{-0.5, 0, 0.5}) * energyOf(k, []float64{1. / 6, 4. / 6, 1. / 6})
	return b
}

// energyOf is the sum of the squares of two kernels convolved.
func energyOf(a, b []float64) (sum float64) {
	c := make([]float64, len(a)+len(b)-1)
	for i, u := range a {
		for j, v := range b {
			c[i+j] += float64(u * v)
		}
	}
	for _, v := range c {
		sum += float64(v * v)
	}
	return sum
}

// window weighs the pixels about an edge, row by row; it sums to 1.
var window = func() (w [(2*windowRch + 1) * (2*windowRch + 1)]float32) {
	sum := 0.0
	for pass := range 2 {
		for i := range w {
			x, y := float64(i%(2*windowRch+1)-windowRch), float64(i/(2*windowRch+1)-windowRch)
			g := exact.Exp(-(float64(x*x) + float64(y*y)) / (2 * windowSD * windowSD))
			if pass == 0 {
				sum += g
			} else {
				w[i] = float32(g / sum)
			}
		}
	}
	return w
}()

// blurOf measures the sharpest tenth of the edges. Blur and edges are 0 if there
// are too few.
func blurOf(tiles []tile, n noise) (blur float64, edges int) {
	var found []reading
	var s slopes
	for i := range tiles {
		if s.of(&tiles[i], n) {
			found = s.edges(found, &tiles[i], n)
		}
	}
	edges = len(found)
	variance, ok := least(found, sharpShare, sharpLeast)
	if !ok {
		return 0, 0
	}
	return math.Sqrt(max(0, variance-slopeVariance-pixelVariance)), edges
}

// of takes the slopes of a tile; it is false if the tile holds no edge.
func (s *slopes) of(t *tile, n noise) bool {
	if t.w < 2*margin+halfLeast || t.h < 2*margin+halfLeast {
		return false
	}
	lo, hi := t.pix[0], t.pix[0]
	for _, v := range t.pix {
		lo, hi = min(lo, v), max(hi, v)
	}
	noisy := math.Sqrt(second.slopeNoise) * max(n.light, n.dark)
	least := max(leastSlope, overNoise*noisy)
	if float64(hi-lo) < 2*least { // a slope reaches over two pixels and more
		return false
	}
	if len(s.x) != len(t.pix) {
		k := make([]float32, 6*len(t.pix))
		for i, p := range []*[]float32{&s.x, &s.y, &s.softX, &s.softY, &s.soft, &s.scratch} {
			*p = k[i*len(t.pix):][:len(t.pix)]
		}
	}
	s.w, s.h = t.w, t.h
	s.least, s.pixelLeastSq, s.flankAllowance = least, float32(least*least/4), float32(3*noisy)
	blurred(s.soft, s.scratch, t.pix, t.w, t.h, second.half)
	slope(s.x, s.y, t.pix, t.w, t.h)
	slope(s.softX, s.softY, s.soft, t.w, t.h)
	return true
}

// edges appends the edges of a tile, at most one from each cell: the variance
// of the edge's width, slope and pixel included, from its upper and lower part.
func (s *slopes) edges(found []reading, t *tile, n noise) []reading {
	var crest []energy
	for y0 := margin; y0+cell <= s.h-margin; y0 += cell {
		for x0 := margin; x0+cell <= s.w-margin; x0 += cell {
			crest = s.crest(crest[:0], t, x0, y0, n)
			if half := len(crest) / 2; half >= halfLeast && s.isStrong(crest) {
				found = append(found, reading{widthOf(crest[:half]), widthOf(crest[half:])})
			}
		}
	}
	return found
}

// crest appends the energy at every edge pixel of a cell.
func (s *slopes) crest(to []energy, t *tile, x0, y0 int, n noise) []energy {
	for y := y0; y < y0+cell; y++ {
		for x := x0; x < x0+cell; x++ {
			p := y*s.w + x
			if nx, ny, ok := s.isEdge(p); ok {
				to = append(to, s.energyAt(p, nx, ny, n.at(t.pix[p])))
			}
		}
	}
	return to
}

// isStrong reports whether an edge is strong as a whole. Its single pixels are
// let in at half the slope: picking them one by one at the limit would pick
// those that noise has steepened.
func (s *slopes) isStrong(crest []energy) bool {
	sum := 0.0
	for _, e := range crest {
		sum += e.steep
	}
	return sum >= s.least*float64(len(crest))
}

// energy is the sum of squares of the slope across an edge, under the window,
// before and after the second blur, without the noise's share.
type energy struct {
	before, after float64
	steep         float64 // the soft slope at the crest
}

func (s *slopes) energyAt(p int, nx, ny float32, noise float64) energy {
	var before, after float32
	const n = 2*windowRch + 1
	for j := range n {
		from := p + (j-windowRch)*s.w - windowRch
		x, y := s.x[from:][:n], s.y[from:][:n]
		sx, sy := s.softX[from:][:n], s.softY[from:][:n]
		for i, f := range window[j*n:][:n] {
			a, b := float32(x[i]*nx)+float32(y[i]*ny), float32(sx[i]*nx)+float32(sy[i]*ny)
			before += float32(f * a * a)
			after += float32(f * b * b)
		}
	}
	v := noise * noise
	return energy{
		before: float64(before) - float64(v*slopeNoise),
		after:  float64(after) - float64(v*second.slopeNoise),
		steep:  float64(float32(s.softX[p]*nx) + float32(s.softY[p]*ny)),
	}
}

// widthOf is the variance, in square pixels, of the width of the edge that has
// these energies.
func widthOf(crest []energy) float64 {
	var sum energy
	for _, e := range crest {
		sum.before += e.before
		sum.after += e.after
	}
	lo, hi := 0.0, softest*softest
	for range 40 {
		mid := (lo + hi) / 2
		if fall(mid)*sum.after > sum.before {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// fall is how many times the energy of an edge of the variance v, in square
// pixels, is lessened by the second blur.
func fall(v float64) float64 {
	soft := v + second.variance
	return energyAcross(v) / energyAcross(soft)
}

// energyAcross is the energy of a unit step of the variance v under the window,
// up to a constant. The slope of a Gaussian step is exp(-x²/2v)/sqrt(v), and the
// integral of its square under exp(-x²/2w²) is 1/v / sqrt(1/v + 1/2w²). Two
// small things are put right. The window stands on the nearest pixel, anywhere
// within half a pixel of the edge. And an edge drawn by pixels and differences,
// which are boxes, is blunter than a Gaussian of the same width: the Edgeworth
// expansion of its slope to the fourth cumulant, g(1 + k/24v² He4(x/sqrt(v))),
// gives the last factor.
func energyAcross(v float64) float64 {
	const w = windowSD * windowSD
	offCentre := 1 - (1.0/12)/(v+2*w)
	u := 1 / (2 + v/w) // variance of g² under the window, over v
	blunter := 1 + float64(fourthCumulant/(4*v*v)*(1-u)*(1-u))
	return 1 / (v * math.Sqrt(1/v+1/(2*w))) * offCentre * blunter
}
