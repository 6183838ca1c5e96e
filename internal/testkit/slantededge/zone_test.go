package slantededge

import (
	"math"
	"testing"
)

// At r px from the middle the frequency is r/max(w, h): a patch around there
// agrees with that wave, and stands evenly about one half.
func TestAZonePlatesFrequencyIsItsRadius(t *testing.T) {
	const w, h, reach = 400, 300, 8
	plane := Zone(w, h)
	for _, r := range []int{40, 80, 120, 160, 190} {
		f := float64(r) / w
		var re, im, sum float64
		for d := -reach; d <= reach; d++ {
			weight := 0.5 + 0.5*math.Cos(math.Pi*float64(d)/(reach+1))
			x := w/2 + r + d
			v := plane[h/2*w+x] - 0.5
			re += weight * v * math.Cos(2*math.Pi*f*float64(d))
			im += weight * v * math.Sin(2*math.Pi*f*float64(d))
			sum += weight
		}
		if amplitude := 2 * math.Hypot(re, im) / sum; amplitude < 0.4 || amplitude > 0.6 {
			t.Errorf("%d px out, the wave of %.3f cycles/px has the amplitude %.3f, not one half", r, f, amplitude)
		}
	}
	if m := mean(plane); math.Abs(m-0.5) > 0.005 {
		t.Errorf("its mean is %v", m)
	}
}

// If only every third pixel is kept, the rings of 1/3 cycle/px alias to frequency zero and
// a false centre appears; averaging first leaves grey there.
func TestAZonePlateShowsMoireOfACarelessReduction(t *testing.T) {
	const side, n = 480, 3
	plane := Zone(side, side)
	kept := func(x, y int) float64 { return plane[y*side+x] }
	averaged := func(x, y int) float64 {
		sum := 0.0
		for dy := -4; dy <= 4; dy++ {
			for dx := -4; dx <= 4; dx++ {
				wx, wy := 5-math.Abs(float64(dx)), 5-math.Abs(float64(dy))
				sum += wx * wy / 625 * plane[(y+dy)*side+x+dx]
			}
		}
		return sum
	}
	around := func(reduce func(x, y int) float64) []float64 {
		var patch []float64
		for x := side/2 + side/n - 30; x < side/2+side/n+30; x += n {
			for y := side/2 - 30; y < side/2+30; y += n {
				patch = append(patch, reduce(x, y))
			}
		}
		return patch
	}
	if careless := deviation(around(kept)); careless < 0.3 {
		t.Errorf("keeping every third pixel leaves a ripple of %.3f", careless)
	}
	if careful := deviation(around(averaged)); careful > 0.02 {
		t.Errorf("a mean over nine pixels leaves a ripple of %.3f", careful)
	}
}
