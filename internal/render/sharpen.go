package render

import "math"

// preSharpen sharpens the source rows before they are enlarged.
func preSharpen(r *Renderer, b *band) {
	if r.plan.PreSharpening.Applied {
		b.sharpen(&b.source, r.channels, r.preBlur, r.plan.PreSharpening)
	}
}

// outputSharpen sharpens the print's rows for the paper.
func outputSharpen(r *Renderer, b *band) {
	if r.plan.OutputSharpening.Applied {
		b.sharpen(&b.print, r.channels, r.outputBlur, r.plan.OutputSharpening)
	}
}

// gaussian is half a blur kernel: weights at distance 0, 1, 2 ... out to three
// sigma, the whole kernel summing to 1.
func gaussian(sigma float64) []float32 {
	n := max(1, int(math.Ceil(3*sigma)))
	w := make([]float64, n+1)
	sum := 0.0
	for i := range w {
		w[i] = math.Exp(-float64(i*i) / (2 * sigma * sigma))
		sum += w[i]
		if i > 0 {
			sum += w[i]
		}
	}
	half := make([]float32, len(w))
	for i := range w {
		half[i] = float32(w[i] / sum)
	}
	return half
}

// sharpen adds the mask to every row of the block. Rows within a blur's reach
// of the block's ends are only right where those are the raster's ends, so a
// block is read with that halo.
func (b *band) sharpen(k *block, channels int, half []float32, s Sharpening) {
	b.luma = grow(b.luma, k.rows*k.width)
	luma(b.luma, k, channels)
	b.blurred = grow(b.blurred, 2*k.width)
	column, mask := b.blurred[:k.width], b.blurred[k.width:]
	for y := range k.rows {
		blurDown(column, b.luma, k.rows, y, half)
		blurAcross(mask, column, half)
		here := b.luma[y*k.width:][:k.width]
		maskOf(mask, here, float32(s.Amount), float32(s.Limit))
		for c := range channels {
			addClamped(k.plane[c][y*k.width:][:k.width], mask)
		}
	}
}

// luma weighs encoded R, G and B as ITU-R BT.601 and JPEG do; grey is its own.
func luma(dst []float32, k *block, channels int) {
	if channels == 1 {
		copy(dst, k.plane[0])
		return
	}
	r, g, b := k.plane[0][:len(dst)], k.plane[1][:len(dst)], k.plane[2][:len(dst)]
	for i := range dst {
		dst[i] = 0.299*r[i] + 0.587*g[i] + 0.114*b[i]
	}
}

// blurDown is row y of a plane of rows, blurred down the columns; the first
// and last rows go on beyond the ends.
func blurDown(dst, plane []float32, rows, y int, half []float32) {
	n := len(dst)
	at := func(y int) []float32 { y = min(max(y, 0), rows-1); return plane[y*n:][:n] }
	mid, f := at(y), half[0]
	for i := range dst {
		dst[i] = f * mid[i]
	}
	for d := 1; d < len(half); d++ {
		up, down, f := at(y - d)[:n], at(y + d)[:n], half[d]
		for i := range dst {
			dst[i] += f * (up[i] + down[i])
		}
	}
}

// blurAcross blurs a row; its first and last values go on beyond the ends.
func blurAcross(dst, src []float32, half []float32) {
	n, reach := len(src), len(half)-1
	edge := func(i int) float32 { return src[min(max(i, 0), n-1)] }
	slow := func(i int) {
		sum := half[0] * src[i]
		for d := 1; d <= reach; d++ {
			sum += half[d] * (edge(i-d) + edge(i+d))
		}
		dst[i] = sum
	}
	if n < 2*reach {
		for i := range dst {
			slow(i)
		}
		return
	}
	for i := range reach {
		slow(i)
		slow(n - 1 - i)
	}
	inner := dst[reach : n-reach]
	for i, v := range src[reach : n-reach] {
		inner[i] = half[0] * v
	}
	for d := 1; d <= reach; d++ {
		f := half[d]
		left, right := src[reach-d:][:len(inner)], src[reach+d:][:len(inner)]
		for i := range inner {
			inner[i] += f * (left[i] + right[i])
		}
	}
}

// maskOf turns a blurred row into the change to make.
func maskOf(blurred, luma []float32, amount, limit float32) {
	luma = luma[:len(blurred)]
	for i, v := range blurred {
		blurred[i] = min(max(amount*(luma[i]-v), -limit), limit)
	}
}

func addClamped(row, mask []float32) {
	mask = mask[:len(row)]
	for i := range row {
		row[i] = min(max(row[i]+mask[i], 0), 1)
	}
}
