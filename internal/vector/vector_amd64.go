//go:build !purego

package vector

import "golang.org/x/sys/cpu"

// avx2 reports whether the processor has AVX2 and the operating system saves its
// registers.
var avx2 = cpu.X86.HasAVX2

// vnni reports the same of AVX-512 with VNNI, which multiplies and adds whole numbers.
var vnni = cpu.X86.HasAVX512VNNI && cpu.X86.HasAVX512BW && cpu.X86.HasAVX512VL

// wide returns how many of n outputs the wide loop computes: a multiple of group, or 0
// without AVX2.
func wide(n, group int) int {
	if !avx2 {
		return 0
	}
	return n / group * group
}

// weightedSumWide computes all outputs if there are at least eight. It computes the outputs
// after the last whole group together with the ones before them, which it computes
// twice.
func weightedSumWide(dst []float32, rows [][]float32, w []float32) int {
	n := wide(len(dst), group)
	if n == 0 || len(rows) == 0 {
		return 0
	}
	weightedSumAVX2(&dst[0], &rows[0], &w[0], len(rows), 0, n)
	if n < len(dst) {
		weightedSumAVX2(&dst[0], &rows[0], &w[0], len(rows), len(dst)-group, len(dst))
	}
	return len(dst)
}

// wideGroups returns how many whole groups of n outputs, starting at output from (a
// multiple of eight), the wide loop can compute. It reads eight samples for each tap,
// which at the end of a line may be more than there are.
func (s *Resampler) wideGroups(n int, src []float32, from int) int {
	if !s.near {
		return 0
	}
	groups := wide(n, group) / group
	for groups > 0 && int(s.first[from+(groups-1)*group])+s.taps+group-1 > len(src) {
		groups--
	}
	return groups
}

func (s *Resampler) lineWide(dst, src []float32, from int) int {
	groups := s.wideGroups(len(dst), src, from)
	if groups == 0 {
		return 0
	}
	first, weight := &s.first[from], &s.weight[from*s.taps]
	switch s.taps {
	case 2:
		resample2AVX2(&dst[0], &src[0], first, weight, groups)
	case 4:
		resample4AVX2(&dst[0], &src[0], first, weight, groups)
	case 6:
		resample6AVX2(&dst[0], &src[0], first, weight, groups)
	case 8:
		resample8AVX2(&dst[0], &src[0], first, weight, groups)
	default:
		resampleAVX2(&dst[0], &src[0], first, weight, groups, s.taps)
	}
	return groups * group
}

func boundsWide(lo, hi []float32, rows *[4][]float32, half float32) int {
	n := wide(len(lo), group)
	if n > 0 {
		boundsAVX2(&lo[0], &hi[0], &rows[0][0], &rows[1][0], &rows[2][0], &rows[3][0], n, half)
	}
	return n
}

func clampToWide(dst []float32, lo, hi [2][]float32, w [2]float32) int {
	n := wide(len(dst), group)
	if n > 0 {
		clampToAVX2(&dst[0], &lo[0][0], &lo[1][0], &hi[0][0], &hi[1][0], n, w[0], w[1])
	}
	return n
}

func cubicWide(dst []float32, k float32) int {
	n := wide(len(dst), group)
	if n > 0 {
		cubicAVX2(&dst[0], n, k)
	}
	return n
}

func lookupWide(dst, table []float32) int {
	n := wide(len(dst), group)
	if n > 0 {
		lookupAVX2(&dst[0], n, &table[0], float32(len(table)-1), int32(len(table)-2))
	}
	return n
}

func toYCCWide(y, c1, c2 []float32) int {
	n := wide(len(y), group)
	if n > 0 {
		toYCCAVX2(&y[0], &c1[0], &c2[0], n)
	}
	return n
}

func toRGBWide(y, c1, c2 []float32) int {
	n := wide(len(y), group)
	if n > 0 {
		toRGBAVX2(&y[0], &c1[0], &c2[0], n)
	}
	return n
}

func sharpenWide(dst, luma, blurred []float32, s SharpenOptions) int {
	n := wide(len(dst), group)
	if n > 0 {
		noise2, perLimit2 := s.squares()
		sharpenAVX2(&dst[0], &luma[0], &blurred[0], n, s.Amount, noise2, perLimit2, s.ShadowFrom, s.ShadowPer)
	}
	return n
}

func interleave16Wide(dst []uint16, planes [][]float32) int {
	n := wide(len(dst)/len(planes), 2*group)
	if n == 0 {
		return 0
	}
	switch p := planes; len(p) {
	case 3:
		interleave3AVX2(&dst[0], &p[0][0], &p[1][0], &p[2][0], n)
	case 4:
		interleave4AVX2(&dst[0], &p[0][0], &p[1][0], &p[2][0], &p[3][0], n)
	default:
		return 0
	}
	return n
}

func difference16Wide(dst []byte, src []uint16, step int) int {
	n := wide(max(len(src)-step, 0), 2*group)
	if n > 0 {
		difference16AVX2(&dst[2*step], &src[step], &src[0], n)
	}
	return n
}

func bytesWide(dst []float32, src []byte, scale, offset float32) int {
	n := wide(len(dst), group)
	if n > 0 {
		bytesAVX2(&dst[0], &src[0], n, scale, offset)
	}
	return n
}

// lineWide computes all pixels if there are enough for a group: as weightedSumWide, the
// last ones again with those before them.
func (c *Convolution) lineWide(dst, src []int16, stride, n int) int {
	if c.Rows == 0 || c.In*c.Columns == 0 {
		return 0
	}
	switch {
	case vnni && n >= 8 && c.Out%48 == 0:
		c.groups(dst, src, stride, n, 8, 48, convolution48AVX512)
	case vnni && n >= 24:
		c.groups(dst, src, stride, n, 24, convolved, convolutionAVX512)
	case avx2 && n >= 12:
		c.groups(dst, src, stride, n, 12, group, convolutionAVX2)
	default:
		return 0
	}
	return n
}

// groups computes n pixels with a loop that computes some samples of some pixels.
func (c *Convolution) groups(dst, src []int16, stride, n, pixels, samples int,
	loop func(dst, src, w *int16, bias *int32, stride, in, out, rows, pairs, shift int, low, high int16)) {
	const bytes = 2
	block := len(c.Weights) / (c.Out / convolved)
	for x := 0; x < n; x += pixels {
		x := min(x, n-pixels)
		for o := 0; o < c.Out; o += samples {
			loop(&dst[x*c.Out+o], &src[x*c.In], &c.Weights[o/convolved*block+o%convolved*2], &c.Bias[o],
				bytes*stride, bytes*c.In, bytes*c.Out, c.Rows, c.In*c.Columns/2, int(c.Shift), c.Low, c.High)
		}
	}
}
