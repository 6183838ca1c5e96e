package roll

import (
	"image"
	"math"
	"testing"
)

func TestPixelsAreThePlanToHalfAPixel(t *testing.T) {
	var g generator
	r := house
	for _, ppi := range []float64{150, 300, 360, 720} {
		r.GapMM = 1.01 * mmPerInch / ppi
		for _, run := range Pack(g.known(12), r).Runs {
			whole, pieces := run.Pixels(ppi)
			size := map[[2]float64]image.Point{}
			for k, p := range run.Pieces {
				at := pieces[k]
				for _, d := range []float64{float64(at.Min.X) - p.X/mmPerInch*ppi, float64(at.Min.Y) - p.Y/mmPerInch*ppi} {
					if math.Abs(d) > 0.5+1e-6 {
						t.Errorf("%+v is at %v, off by %v pixels", p, at, d)
					}
				}
				if !at.In(whole) {
					t.Errorf("%v is not in %v", at, whole)
				}
				for _, other := range pieces[:k] {
					if at.Overlaps(other) {
						t.Errorf("%v and %v overlap", at, other)
					}
				}
				key := [2]float64{p.Width, p.Height}
				if s, ok := size[key]; ok && s != at.Size() {
					t.Errorf("two of %v mm are %v and %v pixels", key, s, at.Size())
				}
				size[key] = at.Size()
			}
		}
	}
}
