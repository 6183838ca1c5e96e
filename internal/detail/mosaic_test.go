package detail

import (
	"math"
	"testing"

	"sizewright/internal/photo"
)

// demosaiced is the luma of what bilinear interpolation makes of a part of a
// photograph seen through a colour filter, red, green, red ... over green, blue,
// green ... (B. E. Bayer, US patent 3,971,065, 1976).
func demosaiced(t *testing.T, path string, x0, y0, side int) picture {
	t.Helper()
	src, err := photo.Open(path, photo.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	row := [][]float32{make([]float32, src.Width), make([]float32, src.Width), make([]float32, src.Width)}
	var mosaic [3]picture
	for c := range mosaic {
		mosaic[c] = paint(side, side, func(x, y float64) float64 { return 0 })
	}
	colourAt := func(x, y int) int { return x&1 + y&1 }
	for y := range side {
		src.Row(y0+y, row)
		for x := range side {
			c := colourAt(x, y)
			mosaic[c].v[y*side+x] = float64(row[c][x0+x])
		}
	}
	weight := [3]float64{lumaR, lumaG, lumaB}
	return paint(side, side, func(px, py float64) float64 {
		x, y, v := int(px), int(py), 0.0
		for c := range mosaic {
			if colourAt(x, y) == c {
				v += weight[c] * mosaic[c].v[y*side+x]
				continue
			}
			sum, n := 0.0, 0.0
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					u, w := x+dx, y+dy
					if u >= 0 && u < side && w >= 0 && w < side && colourAt(u, w) == c {
						sum, n = sum+mosaic[c].v[w*side+u], n+1
					}
				}
			}
			v += weight[c] * sum / n
		}
		return v
	})
}

// A camera interpolates two colours of three at every pixel, and enlarges nothing.
// Without isMosaic, 3 of these 9 photographs read as enlarged twice.
func TestAColourFilterIsNoEnlargement(t *testing.T) {
	for name := range spots {
		p := demosaiced(t, wallpaper(t, name), 900, 500, 448)
		for _, form := range []string{grey8, jpeg95, jpeg85} {
			if got := factorOf(t, p, form); got != 1 {
				t.Errorf("%s, %s: taken for enlarged %.3f times", name, form, got)
			}
		}
	}
}

// Interpolation where every other pixel stays as it was, as where both pictures' first
// pixels lie on each other, differs by columns and rows, and is no filter's.
func TestEnlargingTwiceIsNoColourFilter(t *testing.T) {
	p := field(256, seenThrough(gaussian(0.7)))
	corner := paint(510, 510, func(x, y float64) float64 {
		at := func(u, v int) float64 { return p.v[v*p.w+u] }
		u, v := int(x)/2, int(y)/2
		a, b := math.Mod(x-0.5, 2)/2, math.Mod(y-0.5, 2)/2
		return (1-a)*(1-b)*at(u, v) + a*(1-b)*at(u+1, v) + (1-a)*b*at(u, v+1) + a*b*at(u+1, v+1)
	})
	for name, q := range map[string]picture{"by its corner": corner, "by its centre": p.enlarged(2, kernels["triangle"])} {
		if got := factorOf(t, q.noisy(0.002), grey8); off(got, 2) > 0.01 {
			t.Errorf("enlarged twice %s: found %.3f", name, got)
		}
	}
}
