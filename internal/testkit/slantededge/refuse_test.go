package slantededge

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

func filled(w, h int, at func(x, y int) float64) []float64 {
	plane := make([]float64, w*h)
	for i := range plane {
		plane[i] = at(i%w, i/w)
	}
	return plane
}

func TestWhatIsNoEdgeIsRefused(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	zone := Zone(160, 160)
	edge := func(angle float64, w, h int) []float64 { return Edge{angle, 0.2, 0.8, 0.7}.Render(w, h) }
	for name, tt := range map[string]struct {
		plane []float64
		w, h  int
		want  error
	}{
		"a flat":                   {filled(80, 80, func(_, _ int) float64 { return 0.5 }), 80, 80, ErrNoEdge},
		"a ramp, rows alike":       {filled(80, 80, func(x, y int) float64 { return float64(10*x+y) / 900 }), 80, 80, ErrAngle},
		"a thin line":              {Ridge(80, 80, 5, 1, 0, 1), 80, 80, ErrNoEdge},
		"a zone plate":             {Zone(80, 80), 80, 80, ErrNoEdge},
		"a quarter of one":         {filled(80, 80, func(x, y int) float64 { return zone[y*160+x] }), 80, 80, ErrNoEdge},
		"a corner":                 {filled(80, 80, func(x, y int) float64 { return unitStep(float64(min(x-40, y-40))) }), 80, 80, ErrNoEdge},
		"an edge into the side":    {edge(40, 40, 120), 40, 120, ErrNoEdge},
		"a blur wider than it":     {Edge{5, 0, 1, 30}.Render(80, 80), 80, 80, ErrNoEdge},
		"fifteen rows":             {edge(10, 80, 15), 80, 15, ErrTooShort},
		"less than a pixel":        {edge(1.5, 80, 30), 80, 30, ErrTooShort},
		"no room beside it":        {edge(5, 18, 80), 18, 80, ErrTooShort},
		"upright":                  {edge(0, 80, 80), 80, 80, ErrAngle},
		"nearly upright":           {edge(0.5, 200, 200), 200, 200, ErrAngle},
		"flat":                     {edge(90, 80, 80), 80, 80, ErrAngle},
		"the diagonal":             {edge(45, 120, 80), 120, 80, ErrAngle},
		"the other diagonal":       {edge(-45.5, 80, 120), 80, 120, ErrAngle},
		"a slope of a half":        {edge(math.Atan(0.5)*180/math.Pi, 80, 80), 80, 80, ErrAngle},
		"a slope of a third":       {edge(math.Atan(1.0/3)*180/math.Pi, 200, 200), 200, 200, ErrAngle},
		"a value that is none":     {filled(80, 80, func(x, y int) float64 { return math.Log(float64(x) - 3) }), 80, 80, ErrPlane},
		"too few values":           {make([]float64, 70), 8, 9, ErrPlane},
		"no picture":               {nil, 0, 0, ErrPlane},
		"one pixel":                {[]float64{1}, 1, 1, ErrNoEdge},
		"noise much above an edge": {filled(80, 80, func(x, y int) float64 { return 0.01*unitStep(float64(x-40)+float64(y-40)/12) + random.NormFloat64() }), 80, 80, ErrNoEdge},
	} {
		if r, err := Measure(tt.plane, tt.w, tt.h); !errors.Is(err, tt.want) || r != nil {
			t.Errorf("%s: %v, want %v", name, err, tt.want)
		}
	}
}

func TestNoiseIsNeverAnEdge(t *testing.T) {
	for n := range uint64(100) {
		random := rand.New(rand.NewPCG(7, n))
		plane := filled(48, 48, func(_, _ int) float64 { return 0.5 + 0.02*random.NormFloat64() })
		if r, err := Measure(plane, 48, 48); !errors.Is(err, ErrNoEdge) {
			t.Errorf("noise %d: %+v, %v", n, r, err)
		}
	}
}
