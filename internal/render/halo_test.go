package render_test

import (
	"math"
	"testing"

	"sizewright/internal/config"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/render"
)

// heldAndFree enlarges a picture whose every row, or every column, is line, n times by
// the plain kernel, with the halo limit and without. It returns the line in the middle.
func heldAndFree(t *testing.T, line []float64, n int, upright bool) (held, free []float64) {
	t.Helper()
	w, h := len(line), 9
	at := func(i int) int { return i % w }
	if upright {
		w, h = h, w
		at = func(i int) int { return i / w }
	}
	plane := make([]float64, w*h)
	for i := range plane {
		plane[i] = line[at(i)]
	}
	src := save(t, grey16(plane, w, h))
	o := tiny(t, n*w, n*h, unsharpened)
	p := order.NewPlan(&src.Info, o)
	p.Scale.Curve, p.Scale.Aperture = 0, 0
	return middle(t, p, src, o, true, upright), middle(t, p, src, o, false, upright)
}

func middle(t *testing.T, p *order.Plan, src *photo.Photo, o order.Order, limit, upright bool) []float64 {
	t.Helper()
	p.Scale.HaloLimit = limit
	r, err := render.New(p.Recipe(), src, p.Profiles)
	if err != nil {
		t.Fatal(err)
	}
	x, y, w, h := 0, p.Print.Height/2, p.Print.Width, 1
	if upright {
		x, y, w, h = p.Print.Width/2, 0, 1, p.Print.Height
	}
	line := make([]float64, w*h)
	for i, v := range r.Region(x, y, w, h) {
		line[i] = float64(v) / 65535
	}
	return line
}

func TestAnEdgeEnlargedUnderTheHaloLimitHasNoHalo(t *testing.T) {
	src := make([]float64, 40)
	for i := range src {
		src[i] = 0.1
		if i >= 20 {
			src[i] = 0.9
		}
	}
	for _, upright := range []bool{false, true} {
		for _, n := range []int{2, 3, 4} {
			held, free := heldAndFree(t, src, n, upright)
			if over, _ := extremes(free); over <= 0.92 {
				t.Error("Lanczos without a limit should overshoot, or this test shows nothing")
			}
			if hi, lo := extremes(held); hi > 0.90001 || lo < 0.09999 {
				t.Errorf("x %d, upright %v: the limited edge reaches from %v to %v, want 0.1 to 0.9", n, upright, lo, hi)
			}
			// The limit removes the halo and keeps the slope: where the edge crosses the
			// middle, both are equal.
			for i := range held {
				if free[i] > 0.3 && free[i] < 0.7 && free[i] != held[i] {
					t.Errorf("the limit changed the slope at %d: %v became %v", i, free[i], held[i])
				}
			}
		}
	}
}

func extremes(v []float64) (hi, lo float64) {
	hi, lo = v[0], v[0]
	for _, x := range v {
		hi, lo = max(hi, x), min(lo, x)
	}
	return hi, lo
}

// A wave whose crests fall between samples is higher there than any sample; that is
// detail and not ringing. With 8 samples a wave, on both sides of the crest, the samples
// reach cos(pi/8) = 0.924 of it.
func TestTheHaloLimitLetsTheCrestOfAWaveThrough(t *testing.T) {
	src := make([]float64, 64)
	for i := range src {
		src[i] = 0.5 + 0.4*math.Cos(2*math.Pi*(float64(i)+0.5)/8)
	}
	for _, upright := range []bool{false, true} {
		for _, n := range []int{3, 7} {
			held, free := heldAndFree(t, src, n, upright)
			held, free = held[10*n:54*n], free[10*n:54*n]
			hi, lo := extremes(held)
			if crest, _ := extremes(free); hi < crest-0.002 || n == 7 && (hi < 0.897 || lo > 0.103) {
				t.Errorf("x %d, upright %v: the wave from 0.1 to 0.9 reaches from %.4f to %.4f", n, upright, lo, hi)
			}
			for i := range held {
				if math.Abs(free[i]-held[i]) > 0.002 {
					t.Fatalf("x %d, upright %v: the limit changed a wave at %d: %v became %v", n, upright, i, free[i], held[i])
				}
			}
		}
	}
}

// The rows that the limit reads must be present even with a kernel of four taps.
func TestTheHaloLimitBringsItsOwnRows(t *testing.T) {
	src := save(t, busy(40, 61))
	o := tiny(t, 120, 183, func(s *config.Settings) { unsharpened(s); s.Kernel = "catmull-rom" })
	p := order.NewPlan(&src.Info, o)
	p.Scale.Aperture = 0
	r, err := render.New(p.Recipe(), src, p.Profiles)
	if err != nil {
		t.Fatal(err)
	}
	whole := r.Region(0, 0, 120, 183)
	for y := range 183 {
		for i, v := range r.Region(0, y, 120, 1) {
			if v != whole[3*120*y+i] {
				t.Fatalf("row %d by itself differs from the whole at sample %d", y, i)
			}
		}
	}
}
