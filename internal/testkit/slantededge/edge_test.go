package slantededge

import (
	"fmt"
	"math"
	"testing"
)

// Gauss-Legendre, five points on [-1, 1] (Abramowitz and Stegun, table 25.4).
var legendre = [5][2]float64{
	{0, 0.568888888888889},
	{-0.538469310105683, 0.478628670499366}, {0.538469310105683, 0.478628670499366},
	{-0.906179845938664, 0.236926885056189}, {0.906179845938664, 0.236926885056189},
}

// overPixel averages f over the square pixel (x, y) by brute force.
func overPixel(x, y int, f func(x, y float64) float64) float64 {
	const cells = 3
	sum := 0.0
	for i := range cells {
		for j := range cells {
			for _, a := range legendre {
				for _, b := range legendre {
					px := float64(x) + (float64(i)+0.5+a[0]/2)/cells
					py := float64(y) + (float64(j)+0.5+b[0]/2)/cells
					sum += a[1] * b[1] / 4 * f(px, py)
				}
			}
		}
	}
	return sum / (cells * cells)
}

// distance to the right of a line through the middle of a w*h picture.
func distance(degrees float64, w, h int) func(x, y float64) float64 {
	s, c := math.Sincos(degrees * math.Pi / 180)
	return func(x, y float64) float64 {
		return (x-float64(w)/2)*c + (y-float64(h)/2)*s
	}
}

func TestEachPixelOfAnEdgeIsItsAverageOverTheSquare(t *testing.T) {
	const w, h = 24, 7
	for _, tt := range []struct{ angle, blur, within float64 }{
		{5, 0.5, 1e-11}, {-5, 1, 1e-11}, {0.5, 8, 1e-11}, {45, 0.7, 1e-11}, {95, 2, 1e-11}, {170, 1, 1e-11}, {-117, 3, 1e-11},
		{0, 0.5, 1e-11}, {90, 1, 1e-11},
		{1e-3, 1, 1e-8}, {1e-4, 4, 1e-6}, {1e-5, 0.5, 1e-6}, {45.00001, 1, 1e-11},
	} {
		d := distance(tt.angle, w, h)
		got := Edge{tt.angle, 0, 1, tt.blur}.Render(w, h)
		for i, v := range got {
			want := overPixel(i%w, i/w, func(x, y float64) float64 {
				return (1 + math.Erf(d(x, y)/(tt.blur*math.Sqrt2))) / 2
			})
			if math.Abs(v-want) > tt.within {
				t.Errorf("%v: pixel (%d, %d) is %.13f, its average %.13f", tt, i%w, i/w, v, want)
			}
		}
	}
}

// Without blur a pixel's value is the share of its area on the light side.
func TestEachPixelOfASharpEdgeIsItsLightArea(t *testing.T) {
	const w, h, slices = 9, 8, 2_000
	for _, angle := range []float64{0, 1, 5, 30, 44, -12} {
		s, c := math.Sincos(angle * math.Pi / 180)
		for i, v := range (Edge{Angle: angle, High: 1}).Render(w, h) {
			area := 0.0
			for k := range slices {
				y := float64(i/w) + (float64(k)+0.5)/slices
				edge := w/2.0 - (y-h/2.0)*s/c
				area += min(1, max(0, float64(i%w+1)-edge)) / slices
			}
			if math.Abs(v-area) > 1e-7 {
				t.Errorf("%v degrees: pixel (%d, %d) is %.9f, its light area %.9f", angle, i%w, i/w, v, area)
			}
		}
	}
}

func TestEachPixelOfALineIsItsAverageOverTheSquare(t *testing.T) {
	const w, h = 11, 7
	for _, angle := range []float64{0, 5, 30, 45, 63, 90, 120} {
		for _, sigma := range []float64{0.5, 0.8, 2} {
			d := distance(angle, w, h)
			for i, v := range Ridge(w, h, angle, sigma, 0, 1) {
				want := overPixel(i%w, i/w, func(x, y float64) float64 {
					return math.Exp(-d(x, y) * d(x, y) / (2 * sigma * sigma))
				})
				if math.Abs(v-want) > 1e-10 {
					t.Errorf("%v degrees, sigma %v: pixel (%d, %d) is %.12f, its average %.12f", angle, sigma, i%w, i/w, v, want)
				}
			}
		}
	}
}

func TestAnEdgeLeansAndFacesAsItsAngleSays(t *testing.T) {
	for _, tt := range []struct {
		angle float64
		light [2]int // a pixel of a 9*9 picture that is light; its opposite is dark
		top   int    // and which way the top leans: the dark side gains there for 1
	}{
		{0, [2]int{8, 4}, 0}, {20, [2]int{8, 4}, 1}, {-20, [2]int{8, 4}, -1}, {90, [2]int{4, 8}, 0}, {180, [2]int{0, 4}, 0},
	} {
		p := Edge{Angle: tt.angle, High: 1}.Render(9, 9)
		at := func(x, y int) float64 { return p[y*9+x] }
		if x, y := tt.light[0], tt.light[1]; at(x, y) != 1 || at(8-x, 8-y) != 0 {
			t.Errorf("%v degrees: light at %v is %v, opposite %v", tt.angle, tt.light, at(x, y), at(8-x, 8-y))
		}
		if lean := at(4, 8) - at(4, 0); tt.top != 0 && lean*float64(tt.top) <= 0 {
			t.Errorf("%v degrees leans the wrong way: %v", tt.angle, lean)
		}
	}
}

func ExampleMeasure() {
	edge := Edge{Angle: 5, Low: 0.2, High: 0.8, Blur: 1}
	r, err := Measure(edge.Render(120, 120), 120, 120)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f degrees, 10-90 %% in %.2f px, response at 0.25 cycles/px %.2f\n", r.Angle, r.Rise(), r.At(0.25))
	// Output: 5.0 degrees, 10-90 % in 2.68 px, response at 0.25 cycles/px 0.26
}
