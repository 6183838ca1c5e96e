package detail

import (
	"math"
	"slices"

	"sizewright/internal/exact"
	"sizewright/internal/photo"
)

// House judgement, no source: what of a JPEG's coefficients is empty.
const (
	hollow   = 10.0                   // times the variance of rounding: an empty coefficient has no more, a block in a thousand that kept it gives more
	stepping = 1.0 / (255 * 255) / 12 // variance that rounding of decoded luma to 8 bits gave: see rounding
)

// blocks is where the blocks of a JPEG lie in the upright picture: their left and
// upper sides are at x and y and every 8 px on. JPEG counts them from the stored
// picture's top left (ITU-T T.81, A.2.1).
type blocks struct{ x, y int }

// blocksOf is nil where a file's luma was not stored in blocks of its own pixels.
func blocksOf(src *photo.Photo) *blocks {
	if src.Format != "JPEG" || src.Bits != 8 || (src.Model != photo.Grey && !newLumaReader(src).apart) {
		return nil
	}
	b := &blocks{}
	switch src.Orientation { // those that are mirrored from side to side, and from top to bottom
	case 2, 3, 6, 7:
		b.x = src.Width % block
	}
	switch src.Orientation {
	case 3, 4, 7, 8:
		b.y = src.Height % block
	}
	return b
}

// blockPower is the mean square of every coefficient of the discrete cosine
// transform over a tile's blocks, by v*block + u: of waves of u/16 and v/16 cycles
// per pixel. It sees what a JPEG stored and nothing else: what was quantised to
// nothing is empty but for the rounding of pixels, where a spectrum of the picture
// has the power of the blocks' edges.
type blockPower [block * block]float64

// of transforms the whole blocks of a tile of n x n pixels at (left, top) of the
// picture, whose rows begin stride values apart. Blocks that touch black or white,
// where decoding cut them off, are left out.
func (b *blocks) of(pix []float32, stride, n, left, top int) (p blockPower) {
	whole := 0.0
	for y := mod(b.y - top); y+block <= n; y += block {
		for x := mod(b.x - left); x+block <= n; x += block {
			if c, ok := cosineTransform(pix[y*stride+x:], stride); ok {
				whole++
				for i, v := range c {
					p[i] += float64(float64(v) * float64(v))
				}
			}
		}
	}
	for i := range p {
		p[i] /= max(1, whole)
	}
	return p
}

// mod is i modulo block, never negative.
func mod(i int) int { return (i%block + block) % block }

// cosineTransform is that of a block whose rows begin stride values apart, in the
// scale of ITU-T T.81, A.3.3, which keeps the sum of squares. It is false where
// the block is cut off.
func cosineTransform(pix []float32, stride int) (c [block * block]float32, ok bool) {
	var rows [block * block]float32
	for y := range block {
		line := pix[y*stride:][:block]
		for _, v := range line {
			if v <= 0 || v >= 1 {
				return c, false
			}
		}
		cosines8(rows[y:], line)
	}
	for u := range block {
		cosines8(c[u:], rows[u*block:])
	}
	return c, true
}

// cosines8 transforms a line of eight into every eighth of dst. Halves that mirror each other are added
// first for even waves, and taken from each other for odd ones.
func cosines8(dst, line []float32) {
	var sum, difference [block / 2]float32
	for i := range sum {
		sum[i], difference[i] = line[i]+line[block-1-i], line[i]-line[block-1-i]
	}
	for u := 0; u < block; u += 2 {
		e, o := &wave8[u], &wave8[u+1]
		dst[u*block] = float32(e[0]*sum[0]) + float32(e[1]*sum[1]) + float32(e[2]*sum[2]) + float32(e[3]*sum[3])
		dst[(u+1)*block] = float32(o[0]*difference[0]) + float32(o[1]*difference[1]) + float32(o[2]*difference[2]) + float32(o[3]*difference[3])
	}
}

// wave8 is the first half of each wave.
var wave8 = func() (w [block][block / 2]float32) {
	for u := range w {
		for x := range w[u] {
			w[u][x] = float32(exact.Cos(math.Pi*(float64(x)+0.5)*float64(u)/block) / 2)
			if u == 0 {
				w[u][x] = float32(1 / math.Sqrt(block))
			}
		}
	}
	return w
}()

// bound is the frequency, as a share of the grid's highest, beyond which a JPEG
// stored nothing; 1 where it stored something everywhere, or where what it stored
// has no end. rounding is what an empty coefficient has. The best direction
// counts, for this is a bound and no more: a picture that ends before it is told
// by its spectrum.
//
// From the last frequency that is not empty the bound goes down to where the
// power is a picture's: not under the share of its course that a picture ends at
// (limit.go). So a few blocks with a letter's edge do not speak for the rest.
func (p *blockPower) bound(rounding float64) float64 {
	var best, empty [block]float64 // of a ring: the most power times the square of frequency, and what it is with nothing there
	for i, v := range p {
		u, w := i%block, i/block
		square := float64(u*u + w*w)
		ring := int(math.Round(math.Sqrt(square)))
		if ring < block && v*square > best[ring] {
			best[ring], empty[ring] = v*square, hollow*rounding*square
		}
	}
	line := func(r int) float64 { return exact.Log(cliff * usualRing(best[1:max(2, r)])) }
	last := block - 1
	if best[last] > empty[last] || exact.Log(best[last]) > line(last) {
		return 1
	}
	for r := last - 1; r > 0; r-- {
		if here := exact.Log(best[r]) - line(r); here > 0 {
			next := exact.Log(best[r+1]) - line(r)
			return (float64(r) + here/(here-min(0, next))) / block
		}
	}
	return 1. / block
}

// usualRing is the median.
func usualRing(best []float64) float64 {
	sorted := slices.Sorted(slices.Values(best))
	return sorted[len(sorted)/2]
}

// stored is the frequency beyond which a JPEG stored nothing of the places, as a share
// of the grid's highest; 1 for what is no JPEG's. Every place has one voice, and the
// median counts.
func stored(places []sharpPlace) float64 {
	if places[0].blocks == nil {
		return 1
	}
	voice := make([]float64, len(places))
	median := func(of func(p sharpPlace) float64) float64 {
		for i, p := range places {
			voice[i] = of(p) / p.level
		}
		slices.Sort(voice)
		return (voice[(len(voice)-1)/2] + voice[len(voice)/2]) / 2
	}
	var all blockPower
	for k := range all {
		all[k] = median(func(p sharpPlace) float64 { return p.blocks[k] })
	}
	return all.bound(median(func(sharpPlace) float64 { return stepping }))
}
