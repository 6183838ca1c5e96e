package render

import (
	"math"
	"math/rand/v2"
	"testing"

	"sizewright/internal/config"
	"sizewright/internal/vector"
)

// bySum is the definition in float64, without tables or shortcuts: the kernel centred on
// the output pixel, with the edge pixel repeated outside.
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
		got := lineOf(newAxis(Lanczos3, c.n, c.origin, c.extent, c.out), src)
		for i, want := range bySum(Lanczos3, wide, c.origin, c.extent, c.out) {
			if math.Abs(float64(got[i])-want) > 2e-6 {
				t.Errorf("%+v: output %d is %v, the definition gives %v", c, i, got[i], want)
				break
			}
		}
	}
}

// lineOf resamples a whole line.
func lineOf(a *axis, src []float32) []float32 {
	m := a.margin()
	g := &grid{}
	g.shape(0, -m, 1, len(src)+m)
	copy(g.span(0, 0, len(src)), src)
	g.extend(0, len(src))
	dst := make([]float32, len(a.first))
	a.resampler(m).Line(dst, g.row(0), 0)
	return dst
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

func TestEveryKernelKeepsAnEvenPlaneAndItsOwnName(t *testing.T) {
	if len(Kernels) != len(config.Kernels) {
		t.Errorf("%d kernels, and settings for %d", len(Kernels), len(config.Kernels))
	}
	for i, k := range Kernels {
		if k.Name != config.Kernels[i] {
			t.Errorf("kernel %d is %q here and %q in the settings", i, k.Name, config.Kernels[i])
		}
		if k.At(k.Support) > 1e-12 || k.At(-k.Support) > 1e-12 {
			t.Errorf("%s is not zero at its end", k.Name)
		}
		if r := k.response(0); math.Abs(r-1) > 1e-9 {
			t.Errorf("%s lets %v of an even plane through", k.Name, r)
		}
		if lo, hi := k.response(0.2), k.response(0.8); lo < 0.5 || math.Abs(hi) > 0.16 {
			t.Errorf("%s keeps %.2f of what it should keep and %.2f of what it should not", k.Name, lo, hi)
		}
	}
}

// From the formulas of the papers named at Kernels: Mitchell and Netravali's
// (1/3, 1/3) is 16/18 at 0 and 1/18 at 1, Catmull and Rom's halves are 9/16 and -1/16.
func TestKernelsAtPlacesTheirAuthorsGive(t *testing.T) {
	for _, c := range []struct {
		kernel  string
		x, want float64
	}{
		{"mitchell", 0, 16. / 18}, {"mitchell", 1, 1. / 18}, {"catmull-rom", 0, 1}, {"catmull-rom", 1, 0},
		{"catmull-rom", 0.5, 9. / 16}, {"catmull-rom", 1.5, -1. / 16}, {"b-spline", 0, 4. / 6}, {"b-spline", 1, 1. / 6},
		{"keys6", 0, 1}, {"keys6", 1, 0}, {"keys6", 2, 0}, {"lanczos3", 0, 1}, {"lanczos3", 1, 0}, {"lanczos2", 1, 0},
		{"lanczos3", 0.5, 6 / (math.Pi * math.Pi)},
	} {
		if got := kernelNamed(c.kernel).At(c.x); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%s at %v is %v, want %v", c.kernel, c.x, got, c.want)
		}
	}
}

func TestTheSigmoidIsUndone(t *testing.T) {
	for _, k := range []float64{0.2, 0.5, 0.9} {
		u := unsigmoid(k)
		for i := range 1001 {
			v := []float32{float32(i) / 1000}
			vector.Lookup(v, u)
			if back := sigmoid(float64(v[0]), k); math.Abs(back-float64(i)/1000) > 2e-6 {
				t.Fatalf("k %v: %v comes back as %v", k, float64(i)/1000, back)
			}
		}
	}
}

func BenchmarkAcross(b *testing.B) {
	src, _ := noisyLine(6240 + 32)
	a := newAxis(Lanczos3, 6240, 0, 6240, 12960)
	s := a.resampler(a.margin())
	dst := make([]float32, tileColumns)
	b.SetBytes(tileColumns * 4)
	for b.Loop() {
		s.Line(dst, src, 1024)
	}
}

func BenchmarkDown(b *testing.B) {
	rows := make([][]float32, 6)
	for k := range rows {
		rows[k], _ = noisyLine(tileColumns + k)
		rows[k] = rows[k][:tileColumns]
	}
	w := []float32{.01, -.1, .6, .55, -.08, .02}
	dst := make([]float32, tileColumns)
	b.SetBytes(tileColumns * 4)
	for b.Loop() {
		vector.WeightedSum(dst, rows, w)
	}
}
