package slantededge

import (
	"errors"
	"math"
	"testing"
)

var lineAngles = []float64{0, 5, 10, 20, 30, 45, 63, 80, 90, -30, -45, 135}

func ripple(t *testing.T, plane []float64, angle float64) Ripples {
	t.Helper()
	r, err := Ripple(plane, side, side, angle, 8)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// What the instrument itself adds, the grid's sampling included: measured at
// worst 0.7 % of the height and 0.0037 px for a sigma of 0.5 px, 0.075 % and
// 0.0007 px for 0.7, under 1e-4 for 1 px and 1e-5 for 1.5.
func TestAPerfectLineMeasuresEven(t *testing.T) {
	for sigma, floor := range map[float64]float64{0.5: 0.01, 0.7: 0.001, 1: 2e-4, 1.5: 2e-5, 3: 1e-6} {
		for _, angle := range lineAngles {
			r := ripple(t, Ridge(side, side, angle, sigma, 0.2, 0.8), angle)
			if r.Height > floor || r.Wander > floor {
				t.Errorf("sigma %v at %v degrees: height varies by %.2g, the middle by %.2g px", sigma, angle, r.Height, r.Wander)
			}
			if full := 0.6 * sigma / math.Hypot(sigma, math.Sqrt(1.0/12)); math.Abs(r.Mean/full-1) > 0.02 {
				t.Errorf("sigma %v at %v degrees: %.4f high, the pixel's average leaves %.4f", sigma, angle, r.Mean, full)
			}
		}
	}
}

// warped is a line whose height and middle are waves along it, of known size.
func warped(angle, sigma, height, shift float64) []float64 {
	s, c := math.Sincos(angle * math.Pi / 180)
	p := pixelAt(angle)
	return filled(side, side, func(x, y int) float64 {
		dx, dy := float64(x)+0.5-side/2.0, float64(y)+0.5-side/2.0
		along := 2 * math.Pi * (dy*c - dx*s) / 13.7
		return 0.1 + 0.5*(1+height*math.Cos(along))*p.line(dx*c+dy*s-shift*math.Sin(along), sigma)
	})
}

// The deviation of a wave is its amplitude over the root of two.
func TestBeadsAndStepsAreMeasuredForWhatTheyAre(t *testing.T) {
	for _, angle := range lineAngles {
		beads := ripple(t, warped(angle, 1.5, 0.1, 0), angle)
		if want := 0.1 / math.Sqrt2; math.Abs(beads.Height/want-1) > 0.05 {
			t.Errorf("%v degrees: beads of 10 %% vary by %.4f, want %.4f", angle, beads.Height, want)
		}
		steps := ripple(t, warped(angle, 1.5, 0, 0.3), angle)
		if want := 0.3 / math.Sqrt2; math.Abs(steps.Wander/want-1) > 0.05 {
			t.Errorf("%v degrees: steps of 0.3 px wander by %.4f px, want %.4f", angle, steps.Wander, want)
		}
	}
}

// Repeating pixels three times makes stairs, of a line that ran even: measured
// 0.86 px and 8 % where the small line has 0.0004 px and 0.05 %.
func TestPixelsRepeatedMakeStairs(t *testing.T) {
	const n = 3
	small := Ridge(side, side, 20, 0.7, 0, 1)
	big := filled(side, side, func(x, y int) float64 {
		return small[(y/n+side/3)*side+x/n+side/3]
	})
	r, err := Ripple(big, side, side, 20, 8)
	if err != nil {
		t.Fatal(err)
	}
	if r.Wander < 0.5 || r.Height < 0.05 {
		t.Errorf("the middle wanders by %.3f px, the height varies by %.3f", r.Wander, r.Height)
	}
}

func TestADarkLineMeasuresAsItsNegative(t *testing.T) {
	light := ripple(t, warped(20, 1, 0.1, 0.2), 20)
	negative := warped(20, 1, 0.1, 0.2)
	for i := range negative {
		negative[i] = 1 - negative[i]
	}
	dark := ripple(t, negative, 20)
	if math.Abs(dark.Mean+light.Mean) > 1e-12 || math.Abs(dark.Height-light.Height) > 1e-12 || math.Abs(dark.Wander-light.Wander) > 1e-12 {
		t.Errorf("dark %+v, light %+v", dark, light)
	}
}

func TestWhatIsNoLineIsRefused(t *testing.T) {
	for name, tt := range map[string]struct {
		plane []float64
		w, h  int
		angle float64
		want  error
	}{
		"a flat":          {filled(60, 60, func(_, _ int) float64 { return 0.5 }), 60, 60, 10, ErrNoLine},
		"another angle":   {Ridge(200, 200, 10, 1, 0, 1), 200, 200, 40, ErrNoLine},
		"a small picture": {Ridge(30, 30, 10, 1, 0, 1), 30, 30, 10, ErrNoLine},
		"too few values":  {make([]float64, 3), 2, 2, 10, ErrPlane},
	} {
		if r, err := Ripple(tt.plane, tt.w, tt.h, tt.angle, 8); !errors.Is(err, tt.want) {
			t.Errorf("%s: %+v, %v", name, r, err)
		}
	}
}
