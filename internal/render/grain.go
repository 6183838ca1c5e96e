package render

import "math"

// Grain is the fine grain added to a large enlargement, whose smooth areas would
// otherwise look like plastic.
//
// It is Gaussian noise of luma, blurred to a grain of the same size on paper at every
// ppi. It is strongest in the middle tones and fades to nothing at black and white, as
// the granularity of a photographic print does (house judgement). The picture's own
// pixels seed it: the same picture has the same grain each time, and two
// pictures have different ones.
type Grain struct {
	Applied bool    `json:"applied"`
	Amount  float64 `json:"amount"`  // standard deviation at mid-grey, steps of L*
	SizePX  float64 `json:"size_px"` // sigma of one grain in print pixels
}

// grainer makes grain for a tile. It reuses its memory.
type grainer struct {
	white grid
	line  []float32
}

// addGrain adds the grain to the tile's luma.
func addGrain(r *Renderer, b *band) {
	if !r.recipe.Grain.Applied {
		return
	}
	h := r.grainBlur.reach()
	w := &b.grain.white
	w.shape(b.top-h, b.left-h, b.bottom+h, b.right+h)
	for y := w.top; y < w.top+w.rows; y++ {
		row := w.row(y)
		for i := range row {
			row[i] = whiteNoise(w.left+i, y, r.seed)
		}
	}
	b.grain.line = grow(b.grain.line, b.right-b.left)
	for y := b.top; y < b.bottom; y++ {
		b.blur.row(b.grain.line, w, y, b.left, b.right, r.grainBlur, w.top, w.top+w.rows)
		mixGrain(b.sharp.row(y), b.grain.line, r.grainHeight)
	}
}

// mixGrain adds grain to luma, weighted with 4 v (1-v) at luma v.
func mixGrain(luma, grain []float32, height float32) {
	grain = grain[:len(luma)]
	for i, v := range luma {
		v += float32(float32(height*grain[i]) * float32(4*v*(1-v)))
		luma[i] = min(max(v, 0), 1)
	}
}

// whiteNoise returns nearly Gaussian noise of standard deviation 1 that depends only on
// position and seed: the sum of the four bytes of a hash, which has the mean 510 and the
// variance 4 (256²-1)/12.
func whiteNoise(x, y int, seed uint32) float32 {
	h := hash(uint32(x) + uint32(y)*0x9e3779b9 + seed)
	sum := h&255 + h>>8&255 + h>>16&255 + h>>24
	return (float32(sum) - 510) * whiteUnit
}

var whiteUnit = float32(1 / math.Sqrt(4*(256*256-1)/12.))

// hash is the low-bias integer hash of C. Wellons ("Prospecting for hash
// functions", 2018).
func hash(h uint32) uint32 {
	h ^= h >> 16
	h *= 0x7feb352d
	h ^= h >> 15
	h *= 0x846ca68b
	return h ^ h>>16
}

// height returns the factor for blurred noise. The blur keeps a share of the standard
// deviation: the root of the sum of the squares of its weights in both directions. A
// step of L* is a hundredth of the encoded range (close enough in the middle tones,
// where both follow the cube root of luminance).
func (g Grain) height(k blurKernel) float32 {
	sum := 0.0
	for _, w := range k {
		sum += float64(float64(w) * float64(w))
	}
	return float32(g.Amount / 100 / sum)
}
