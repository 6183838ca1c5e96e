package detail

// The slope is taken by central differences, smoothed across by 1:4:1. Both
// then have the variance 1/3, so edges at every angle are widened alike (a
// Prewitt or Sobel operator, 1:1:1 or 1:2:1, widens those at 45 degrees less).
const (
	slopeVariance = 1.0 / 3
	pixelVariance = 1.0 / 12 // of the pixel's own area, at any angle
	slopeNoise    = 0.25     // variance of the slope for white noise of variance 1: (1+16+1)/36 x 1/2
)

// slope writes the slope of src, per pixel, inside the outermost pixels.
func slope(gx, gy, src []float32, w, h int) {
	const side, mid = 1.0 / 12, 4.0 / 12
	for y := 1; y < h-1; y++ {
		a, b, c := src[(y-1)*w:][:w], src[y*w:][:w], src[(y+1)*w:][:w]
		dx, dy := gx[y*w:][:w], gy[y*w:][:w]
		for x := 1; x < w-1; x++ {
			falling, rising := c[x+1]-a[x-1], c[x-1]-a[x+1]
			dx[x] = float32(side*(falling-rising)) + float32(mid*(b[x+1]-b[x-1]))
			dy[x] = float32(side*(falling+rising)) + float32(mid*(c[x]-a[x]))
		}
	}
}

// blurred writes src blurred by the kernel, given as its half from the middle
// outwards; values nearer to the border than its reach are not written.
func blurred(dst, scratch, src []float32, w, h int, half []float32) {
	n := len(half) - 1
	for y := range h {
		in, out := src[y*w:][:w], scratch[y*w:][:w]
		mid := out[n : w-n]
		for i, v := range in[n : w-n] {
			mid[i] = half[0] * v
		}
		for d := 1; d <= n; d++ {
			f, l, r := half[d], in[n-d:][:len(mid)], in[n+d:][:len(mid)]
			for i := range mid {
				mid[i] += float32(f * (l[i] + r[i]))
			}
		}
	}
	for y := n; y < h-n; y++ {
		out := dst[y*w:][:w]
		for i, v := range scratch[y*w:][:w] {
			out[i] = half[0] * v
		}
		for d := 1; d <= n; d++ {
			f, u, l := half[d], scratch[(y-d)*w:][:w], scratch[(y+d)*w:][:w]
			for i := range out {
				out[i] += float32(f * (u[i] + l[i]))
			}
		}
	}
}
