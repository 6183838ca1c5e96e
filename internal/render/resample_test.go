package render

import (
	"math"
	"math/rand/v2"
	"testing"
)

// bySum is the definition, in float64, with no table and no shortcut: the
// kernel centred on the output pixel, the edge pixel going on outside.
func bySum(k Kernel, src []float64, origin, extent float64, out int) []float64 {
	scale := float64(out) / extent
	stretch := math.Max(1, 1/scale)
	dst := make([]float64, out)
	for i := range dst {
		u := origin + (float64(i)+0.5)/scale - 0.5
		var sum, weight float64
		for s := int(u - 40*stretch); s <= int(u+40*stretch); s++ {
			w := k.At((float64(s) - u) / stretch)
			sum += w * src[min(max(s, 0), len(src)-1)]
			weight += w
		}
		dst[i] = sum / weight
	}
	return dst
}

func noisyLine(n int) ([]float32, []float64) {
	r := rand.New(rand.NewPCG(1, uint64(n)))
	a, b := make([]float32, n), make([]float64, n)
	for i := range a {
		a[i] = r.Float32()
		b[i] = float64(a[i])
	}
	return a, b
}

func TestALineIsResampledAsTheDefinitionSays(t *testing.T) {
	for _, c := range []struct {
		n              int
		origin, extent float64
		out            int
	}{
		{100, 0, 100, 207}, {100, 0, 100, 346}, {100, 0, 100, 100}, {100, 0, 100, 101},
		{100, 0, 100, 48}, {100, 0, 100, 7}, {100, 0, 100, 1}, {100, 12.25, 60.5, 211},
		{100, 12.25, 60.5, 30}, {1, 0, 1, 9}, {2, 0, 2, 11}, {5, 0, 5, 2}, {3, 0, 3, 30},
	} {
		src, wide := noisyLine(c.n)
		a := newAxis(Lanczos3, c.n, c.origin, c.extent, c.out)
		got := make([]float32, c.out)
		a.line(got, src, false)
		for i, want := range bySum(Lanczos3, wide, c.origin, c.extent, c.out) {
			if math.Abs(float64(got[i])-want) > 2e-6 {
				t.Errorf("%+v: output %d is %v, the definition gives %v", c, i, got[i], want)
				break
			}
		}
	}
}

func TestTheFastSumIsTheSlowSumBitForBit(t *testing.T) {
	src, _ := noisyLine(500)
	a := newAxis(Lanczos3, 500, 0, 500, 1234)
	fast, slow := make([]float32, 1234), make([]float32, 1234)
	a.line6(fast, src)
	a.lineSlow(slow, src)
	for i := range fast {
		if fast[i] != slow[i] {
			t.Fatalf("output %d: %v fast, %v slow", i, fast[i], slow[i])
		}
	}
	rows := make([][]float32, 6)
	for k := range rows {
		rows[k] = src[k*50:][:200]
	}
	w := []float32{.01, -.1, .6, .55, -.08, .02}
	weigh6(fast[:200], rows, w)
	clear(slow[:200])
	for k, row := range rows {
		for i, v := range row {
			slow[i] += w[k] * v
		}
	}
	for i := range 200 {
		if fast[i] != slow[i] {
			t.Fatalf("column %d: %v fast, %v slow", i, fast[i], slow[i])
		}
	}
}

func TestWeightsSumToOne(t *testing.T) {
	for _, out := range []int{1, 3, 40, 99, 100, 101, 250, 999} {
		a := newAxis(Lanczos3, 100, 0, 100, out)
		for i := range out {
			sum := 0.0
			for _, w := range a.weight[i*a.taps : (i+1)*a.taps] {
				sum += float64(w)
			}
			if math.Abs(sum-1) > 1e-6 {
				t.Errorf("100 to %d: the weights of output %d sum to %v", out, i, sum)
			}
		}
	}
}

func TestAnEdgeEnlargedUnderTheHaloLimitHasNoHalo(t *testing.T) {
	src := make([]float32, 40)
	for i := 20; i < 40; i++ {
		src[i] = 0.8
	}
	a := newAxis(Lanczos3, 40, 0, 40, 137)
	free, held := make([]float32, 137), make([]float32, 137)
	a.line(free, src, false)
	a.line(held, src, true)
	if over, _ := extremes(free); over <= 0.8 {
		t.Error("Lanczos without a limit should overshoot, or this test shows nothing")
	}
	if hi, lo := extremes(held); hi > 0.8 || lo < 0 {
		t.Errorf("the limited edge reaches from %v to %v, want 0 to 0.8", lo, hi)
	}
	// The limit takes the halo and leaves the slope: where the edge crosses
	// the middle both agree.
	for i := range held {
		if free[i] > 0.2 && free[i] < 0.6 && free[i] != held[i] {
			t.Errorf("the limit changed the slope at %d: %v became %v", i, free[i], held[i])
		}
	}
}

func extremes(v []float32) (hi, lo float32) {
	hi, lo = v[0], v[0]
	for _, x := range v {
		hi, lo = max(hi, x), min(lo, x)
	}
	return hi, lo
}

func TestRowsAndColumnsAreLimitedAlike(t *testing.T) {
	src, _ := noisyLine(64)
	a := newAxis(Lanczos3, 64, 0, 64, 150)
	line := make([]float32, 150)
	a.line(line, src, true)
	for i := range 150 {
		rows := make([][]float32, 6)
		for k := range rows {
			rows[k] = src[int(a.first[i])+k:][:1]
		}
		bound := make([][]float32, near)
		for k := range bound {
			bound[k] = src[int(a.near[i])+k:][:1]
		}
		got := make([]float32, 1)
		weigh(got, rows, a.weight[i*6:(i+1)*6])
		limitRows(got, bound)
		if got[0] != line[i] {
			t.Fatalf("output %d: %v down, %v across", i, got[0], line[i])
		}
	}
}

func BenchmarkAcross(b *testing.B) {
	src, _ := noisyLine(6240)
	a := newAxis(Lanczos3, 6240, 0, 6240, 12960)
	dst := make([]float32, 12960)
	b.SetBytes(12960 * 4)
	for b.Loop() {
		a.line(dst, src, true)
	}
}

func BenchmarkDown(b *testing.B) {
	rows := make([][]float32, 6)
	for k := range rows {
		rows[k], _ = noisyLine(12960 + k)
		rows[k] = rows[k][:12960]
	}
	w := []float32{.01, -.1, .6, .55, -.08, .02}
	dst := make([]float32, 12960)
	b.SetBytes(12960 * 4)
	for b.Loop() {
		weigh(dst, rows, w)
		limitRows(dst, rows[1:5])
		clamp(dst)
	}
}
