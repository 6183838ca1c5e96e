//go:build !amd64 || purego

package vector

// Without assembly the wide halves compute nothing.

func weightedSumWide([]float32, [][]float32, []float32) int             { return 0 }
func (*Resampler) lineWide(_, _ []float32, _ int) int                   { return 0 }
func boundsWide(_, _ []float32, _ *[4][]float32, _ float32) int         { return 0 }
func clampToWide([]float32, [2][]float32, [2][]float32, [2]float32) int { return 0 }
func cubicWide([]float32, float32) int                                  { return 0 }
func lookupWide(_, _ []float32) int                                     { return 0 }
func toYCCWide(_, _, _ []float32) int                                   { return 0 }
func toRGBWide(_, _, _ []float32) int                                   { return 0 }
func sharpenWide(_, _, _ []float32, _ SharpenOptions) int               { return 0 }
func interleave16Wide([]uint16, [][]float32) int                        { return 0 }
func difference16Wide([]byte, []uint16, int) int                        { return 0 }
func bytesWide([]float32, []byte, float32, float32) int                 { return 0 }
func (*Convolution) lineWide(_, _ []int16, _, _ int) int                { return 0 }
