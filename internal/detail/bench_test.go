package detail

import "testing"

// BenchmarkMeasure takes 26 megapixels of edges and noise, which every step
// finds work in.
func BenchmarkMeasure(b *testing.B) {
	small := scene(1040, 832)
	big := picture{6240, 4160, make([]float64, 6240*4160)}
	for y := range big.h {
		for x := 0; x < big.w; x += small.w {
			copy(big.v[y*big.w+x:], small.v[y%small.h*small.w:][:small.w])
		}
	}
	for _, form := range []string{jpeg95, rgb16} {
		b.Run(form, func(b *testing.B) {
			ph := big.in(b, form)
			b.ReportAllocs()
			for b.Loop() {
				Measure(ph)
			}
		})
	}
}

func BenchmarkStages(b *testing.B) {
	ph := scene(1040, 832).in(b, rgb8)
	tiles := readTiles(pageOf(ph))
	n := noiseOf(tiles, rounding(ph))
	perTile := func(b *testing.B, f func()) {
		for b.Loop() {
			f()
		}
		b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N*len(tiles)), "µs/tile")
	}
	b.Run("read", func(b *testing.B) { perTile(b, func() { readTiles(pageOf(ph)) }) })
	b.Run("noise", func(b *testing.B) { perTile(b, func() { noiseOf(tiles, 0) }) })
	b.Run("blur", func(b *testing.B) { perTile(b, func() { blurOf(tiles, n) }) })
}

// BenchmarkMeasureSpectrum takes the same 26 megapixels.
func BenchmarkMeasureSpectrum(b *testing.B) {
	small := scene(1040, 832)
	big := picture{6240, 4160, make([]float64, 6240*4160)}
	for i := range big.v {
		big.v[i] = small.v[i/big.w%small.h*small.w+i%big.w%small.w]
	}
	for _, form := range []string{jpeg95, rgb16} {
		b.Run(form, func(b *testing.B) {
			ph := big.in(b, form)
			m := Measure(ph)
			b.ReportAllocs()
			for b.Loop() {
				MeasureSpectrum(ph, m)
			}
		})
	}
}
