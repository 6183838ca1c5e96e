package render

import "sizewright/internal/vector"

// preSharpen removes some of the picture's own blur from the source's luma: two terms
// of van Cittert's series, see [Sharpening]. With a Gaussian G the series is
// 2 L - 3 G L + G² L, and G² is the Gaussian of sqrt 2 times the sigma.
func preSharpen(r *Renderer, b *band) {
	s := r.recipe.PreSharpening
	if !s.Applied {
		return
	}
	g, w := &b.source[0], r.src.Width
	top, bottom := r.sourceRows(b, 0)
	first, last := g.top, g.top+g.rows
	b.crisp.shape(top, g.left, bottom, g.left+g.cols)
	once, twice := b.blur.scratch(w)
	for y := top; y < bottom; y++ {
		here := g.span(y, 0, w)
		b.blur.row(once, g, y, 0, w, r.preBlur, first, last)
		b.blur.row(twice, g, y, 0, w, r.preBlurTwice, first, last)
		dst := b.crisp.span(y, 0, w)
		vector.WeightedSum(dst, [][]float32{once, twice, here}, []float32{3, -1, -1})
		vector.Sharpen(dst, here, dst, s.shape())
	}
	b.crisp.extend(0, w)
	b.source[0], b.crisp = b.crisp, b.source[0]
}

// printSharpen sharpens the tile's luma, for what scaling took and for the paper. Both
// masks are computed from the same luma and limited together.
func printSharpen(r *Renderer, b *band) {
	g := &b.print[0]
	b.sharp.shape(b.top, b.left, b.bottom, b.right)
	for y := b.top; y < b.bottom; y++ {
		here, dst := g.span(y, b.left, b.right), b.sharp.row(y)
		if len(r.masks) == 0 {
			copy(dst, here)
			continue
		}
		b.blurred(dst, r.masks, y)
		vector.Sharpen(dst, here, dst, r.shape)
	}
}

// mask is one blur of the print's luma and its share of the total amount.
type mask struct {
	blur  blurKernel
	share float32
}

// blurred blurs row y of the tile's luma by one mask, or by two in their shares.
func (b *band) blurred(dst []float32, masks []mask, y int) {
	g := &b.print[0]
	first, last := g.top, g.top+g.rows
	if len(masks) == 1 {
		b.blur.row(dst, g, y, b.left, b.right, masks[0].blur, first, last)
		return
	}
	one, other := b.blur.scratch(len(dst))
	b.blur.row(one, g, y, b.left, b.right, masks[0].blur, first, last)
	b.blur.row(other, g, y, b.left, b.right, masks[1].blur, first, last)
	vector.WeightedSum(dst, [][]float32{one, other}, []float32{masks[0].share, masks[1].share})
}
