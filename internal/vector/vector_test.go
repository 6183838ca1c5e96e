package vector

import (
	"math/rand/v2"
	"testing"
)

func TestEveryLoopGivesThePlainLoopsBits(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	lengths := []int{127, 128, 1000, 1023, 5001}
	for n := range 71 {
		lengths = append(lengths, n, n, n)
	}
	for _, l := range loops() {
		t.Run(l.name, func(t *testing.T) {
			for _, n := range lengths {
				m := &guarded{r: r}
				try := l.trial(m, r, n)
				try.fast()
				try.plain()
				if err := try.differ(); err != nil {
					t.Fatal(err)
				}
				m.check(t)
			}
		})
	}
}

func TestRowsThatAreTooShortAreRefused(t *testing.T) {
	long, short := make([]float32, 9), make([]float32, 8, 9)
	s := NewResampler([]int32{0, 1, 2, 3, 5}, make([]float32, 20), 4)
	for name, call := range map[string]func(){
		"WeightedSum, a row":    func() { WeightedSum(long, [][]float32{long, short}, long) },
		"WeightedSum, a weight": func() { WeightedSum(nil, make([][]float32, 9), short) },
		"Line, the source":      func() { s.Line(long[:5], short, 0) },
		"Line, past its end":    func() { s.Line(long[:5], long, 1) },
		"Bounds, a row":         func() { Bounds(long[:6], long, &[4][]float32{long, long, short, long}, 0) },
		"Bounds, the upper":     func() { Bounds(make([]float32, 9), short, &[4][]float32{}, 0) },
		"ClampTo":               func() { ClampTo(long, [2][]float32{long, long}, [2][]float32{long, short}, [2]float32{}) },
		"ToYCC":                 func() { ToYCC(long, short, long) },
		"ToRGB":                 func() { ToRGB(long, long, short) },
		"Sharpen":               func() { Sharpen(long, long, short, SharpenOptions{}) },
		"Interleave16":          func() { Interleave16(make([]uint16, 27), long, long, short) },
		"half a pixel":          func() { Interleave16(make([]uint16, 7), long, long) },
		"Difference16":          func() { Difference16(make([]byte, 17, 18), make([]uint16, 9), 3) },
		"Bytes":                 func() { Bytes(long, make([]byte, 8, 9), 1, 0) },
		"a falling beginning": func() {
			NewResampler([]int32{1, 0}, make([]float32, 8), 4)
		},
		"a weight too few": func() { NewResampler([]int32{0, 0}, make([]float32, 7), 4) },
	} {
		t.Run(name, func(t *testing.T) {
			defer func() {
				if recover() == nil {
					t.Error("did not panic")
				}
			}()
			call()
		})
	}
}

func FuzzWeightedSum(f *testing.F) {
	f.Add(uint64(1), uint8(6), uint16(40))
	f.Fuzz(func(t *testing.T, seed uint64, rows uint8, n uint16) {
		fuzz(t, weightedSumLoop(int(rows)), seed, int(n)%600)
	})
}

func FuzzResampler(f *testing.F) {
	f.Add(uint64(1), uint8(6), uint16(40))
	f.Fuzz(func(t *testing.T, seed uint64, taps uint8, n uint16) {
		fuzz(t, resampleLoop(1+int(taps)%24), seed, int(n)%600)
	})
}

func FuzzInterleave16(f *testing.F) {
	f.Add(uint64(1), uint8(3), uint16(40))
	f.Fuzz(func(t *testing.T, seed uint64, planes uint8, n uint16) {
		fuzz(t, interleaveLoop(1+int(planes)%6), seed, int(n)%600)
	})
}

func fuzz(t *testing.T, l loop, seed uint64, n int) {
	r := rand.New(rand.NewPCG(seed, seed))
	m := &guarded{r: r}
	try := l.trial(m, r, n)
	try.fast()
	try.plain()
	if err := try.differ(); err != nil {
		t.Fatal(err)
	}
	m.check(t)
}

// BenchmarkLoops measures nanoseconds per item (a pixel, or a sample for Difference16) and
// bytes read and written, in rows of 8640 pixels: 24 in at 360 ppi. WeightedSum and
// Resampler count only their results.
func BenchmarkLoops(b *testing.B) {
	const n = 8640
	r := rand.New(rand.NewPCG(1, 2))
	for _, l := range loops() {
		try := l.trial(heap{}, r, n)
		b.Run(l.name+"/chosen", func(b *testing.B) { bench(b, n, l.bytes, try.fast) })
		b.Run(l.name+"/plain", func(b *testing.B) { bench(b, n, l.bytes, try.plain) })
	}
}

func bench(b *testing.B, n, bytes int, run func()) {
	b.SetBytes(int64(n * bytes))
	for b.Loop() {
		run()
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/item")
}
