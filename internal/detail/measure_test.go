package detail

import (
	"math"
	"testing"
)

// scene has edges, a plain ground and noise.
func scene(w, h int) picture { return discs(w, h, 0.5, 0.5, 1.2).noisy(0.008) }

func TestTheFormAPictureIsStoredInHardlyMatters(t *testing.T) {
	p := scene(384, 400)
	for _, form := range []string{grey8, grey16, rgb8, rgb16} {
		m := Measure(p.in(t, form))
		if off(m.Noise, 0.008) > 0.1 || off(m.Blur, 1.2) > 0.1 {
			t.Errorf("%s: %+v", form, m)
		}
	}
}

func TestTurningAPictureHardlyMatters(t *testing.T) {
	p := scene(1111, 700)
	upright, turned := Measure(p.in(t, grey16)), Measure(p.turned().in(t, grey16))
	if off(turned.Noise, upright.Noise) > 0.03 || off(turned.Blur, upright.Blur) > 0.03 ||
		off(float64(turned.Edges), float64(upright.Edges)) > 0.1 {
		t.Errorf("upright %+v, turned %+v", upright, turned)
	}
}

func TestMeasuringTwiceGivesTheSame(t *testing.T) {
	ph := scene(384, 400).in(t, rgb8)
	if a, b := Measure(ph), Measure(ph); a != b {
		t.Errorf("%+v, then %+v", a, b)
	}
}

func TestATinyPictureIsMeasuredAsFarAsItGoes(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {7, 300}, {15, 15}, {16, 16}, {27, 500}, {28, 28}, {53, 131}, {3000, 20}} {
		m := Measure(scene(size[0], size[1]).in(t, rgb8))
		if math.IsNaN(m.Noise+m.NoiseDark+m.Blur) || m.Noise > 0.012 {
			t.Errorf("%v: %+v", size, m)
		}
	}
}

func TestTilesLieEvenlyWithinThePicture(t *testing.T) {
	for _, size := range [][2]int{{6240, 4160}, {4160, 6240}, {129, 129}, {100, 90}, {30000, 400}, {50, 60000}, {20000, 15000}} {
		across, down := lattice(size[0], size[1])
		if n := across.n * down.n; n < 1 || n > maxTiles {
			t.Errorf("%v: %d tiles", size, n)
		}
		for _, s := range []span{across, down} {
			before, after := s.at(0), s.length-s.at(s.n-1)-s.side
			if before < 0 || after < 0 || after-before < 0 || after-before > 1 {
				t.Errorf("%v: %d px before the first tile, %d after the last", size, before, after)
			}
			for i := 1; i < s.n; i++ {
				if s.at(i) < s.at(i-1)+s.side {
					t.Errorf("%v: tiles %d and %d overlap", size, i-1, i)
				}
			}
		}
	}
	if across, down := lattice(6240, 4160); across.n*down.n < 170 {
		t.Errorf("26 megapixels are seen in %d x %d tiles only", across.n, down.n)
	}
}

// The weights are ITU-R BT.601's.
func TestLumaOfEveryModel(t *testing.T) {
	for _, c := range []struct {
		channels []float32
		want     float64
	}{
		{[]float32{0.4}, 0.4},
		{[]float32{1, 0, 0}, 0.299},
		{[]float32{0, 1, 0}, 0.587},
		{[]float32{0, 0, 1}, 0.114},
		{[]float32{0, 0, 0, 0}, 1},
		{[]float32{0, 0, 0, 1}, 0},
		{[]float32{1, 1, 1, 0}, 0},
		{[]float32{1, 0, 0, 0.5}, 0.3505},
	} {
		ch := make([][]float32, len(c.channels))
		for i := range ch {
			ch[i] = c.channels[i : i+1]
		}
		var got [1]float32
		if luma(got[:], ch); math.Abs(float64(got[0])-c.want) > 1e-6 {
			t.Errorf("%v: %v, want %v", c.channels, got[0], c.want)
		}
	}
}
