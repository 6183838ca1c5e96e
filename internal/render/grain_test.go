package render_test

import (
	"bytes"
	"math"
	"testing"

	"sizewright/internal/config"
	"sizewright/internal/detail"
	"sizewright/internal/order"
)

func grainy(amount float64) func(*config.Settings) {
	return func(s *config.Settings) { unsharpened(s); s.Grain = amount }
}

func TestGrainIsAsStrongAsAskedAndOneSizeOnPaper(t *testing.T) {
	const w, h, scale = 120, 100, 4
	flat := noisy(w, h, 0.5, 0)
	for _, ppi := range []float64{240, 360, 720} {
		out, p := through(t, flat, w, h, pixels(t, scale*w, scale*h, ppi, grainy(1)), &detail.Measurement{})
		if got := 100 * deviation(out, scale*w, scale*h, 8); math.Abs(got-1) > 0.08 {
			t.Errorf("%v ppi: a deviation of %.3f steps of lightness, asked for 1", ppi, got)
		}
		// The autocorrelation of noise under a Gaussian of sigma s at a distance d is
		// exp(-d²/4s²): at twice s, 1/e.
		if got := likeness(out, scale*w, scale*h, int(math.Round(2*p.Grain.SizePX))); math.Abs(got-math.Exp(-math.Pow(math.Round(2*p.Grain.SizePX)/p.Grain.SizePX, 2)/4)) > 0.06 {
			t.Errorf("%v ppi: at twice its size of %v px the grain is like itself by %.2f", ppi, p.Grain.SizePX, got)
		}
		if math.Abs(p.Grain.SizeMM-0.06) > 0.001 && p.Grain.SizePX > 0.5 {
			t.Errorf("%v ppi: %v mm on paper", ppi, p.Grain.SizeMM)
		}
	}
}

// likeness is the correlation of a plane with itself, d px to the side.
func likeness(plane []float64, w, h, d int) float64 {
	var sum, squares, mean float64
	for _, v := range plane {
		mean += v / float64(len(plane))
	}
	for y := range h {
		for x := range w - d {
			a, b := plane[y*w+x]-mean, plane[y*w+x+d]-mean
			sum, squares = sum+a*b, squares+a*a
		}
	}
	return sum / squares
}

func TestTheSamePictureHasTheSameGrainAndAnotherHasAnother(t *testing.T) {
	const w, h = 60, 50
	o := pixels(t, 4*w, 4*h, 360, grainy(2))
	one := func(level float64) []byte {
		src := save(t, grey16(noisy(w, h, level, 0), w, h))
		return carriedOut(t, order.NewPlan(&src.Info, o), src)
	}
	if !bytes.Equal(one(0.5), one(0.5)) {
		t.Error("the same picture has two grains")
	}
	a, _ := through(t, noisy(w, h, 0.5, 0), w, h, o, &detail.Measurement{})
	b, _ := through(t, noisy(w, h, 0.51, 0), w, h, o, &detail.Measurement{})
	var same, all float64
	for i := range a {
		same += (a[i] - 0.5) * (b[i] - 0.51)
		all += (a[i] - 0.5) * (a[i] - 0.5)
	}
	if math.Abs(same/all) > 0.1 {
		t.Errorf("two pictures have grains alike by %.2f", same/all)
	}
}

func TestGrainSparesBlackAndWhite(t *testing.T) {
	for _, level := range []float64{0, 1} {
		out, _ := through(t, noisy(40, 40, level, 0), 40, 40, pixels(t, 160, 160, 360, grainy(3)), &detail.Measurement{})
		if d := deviation(out, 160, 160, 0); d != 0 {
			t.Errorf("%v has grain of %v", level, d)
		}
	}
}
