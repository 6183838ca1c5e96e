package colour

import (
	"math"
	"math/rand/v2"
	"testing"

	colorful "github.com/lucasb-eyer/go-colorful"
)

// github.com/lucasb-eyer/go-colorful computes CIEDE2000 with Lab in hundredths.
func TestCIEDE2000IsGoColorfulsToo(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 4))
	for range 2000 {
		a := Lab{100 * r.Float64(), 160*r.Float64() - 80, 160*r.Float64() - 80}
		b := Lab{a[0] + 20*r.Float64() - 10, a[1] + 40*r.Float64() - 20, a[2] + 40*r.Float64() - 20}
		of := func(c Lab) colorful.Color { return colorful.Lab(c[0]/100, c[1]/100, c[2]/100) }
		want := 100 * of(a).DistanceCIEDE2000(of(b))
		if got := deltaE(a, b); math.Abs(got-want) > 1e-3 {
			t.Fatalf("%v to %v: %.6f, go-colorful says %.6f", a, b, got, want)
		}
	}
}
