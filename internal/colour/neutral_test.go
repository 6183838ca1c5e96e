package colour

import (
	"math"
	"testing"
)

// A neutral ramp must stay neutral and rise through every pair of RGB spaces
// and printers, and through all of the deepest shadows too: 16-bit values one by
// one are where banding would show.
func TestNeutralsStayNeutralAndRampsRise(t *testing.T) {
	all := profilesUnderTest(t)
	for _, from := range all {
		for _, to := range all {
			if from.Channels != 3 || to.Channels != 3 || from.name == to.name || underRace && from.name != "sRGB" {
				continue
			}
			for _, black := range []bool{false, true} {
				ramp := neutralRamp(t, from, to, black)
				colour, err := to.toXYZ(Relative)
				if err != nil {
					t.Fatal(err)
				}
				worst := 0.0
				for i, d := range ramp {
					if c := colour(d).Lab(); c[0] > to.darkest() {
						worst = max(worst, c.Chroma())
					}
					if i > 0 && (d[0] < ramp[i-1][0] || d[1] < ramp[i-1][1] || d[2] < ramp[i-1][2]) {
						t.Errorf("%s to %s: step %d falls from %v to %v", from.name, to.name, i, ramp[i-1], d)
						break
					}
				}
				if worst > 0.3 {
					t.Errorf("%s to %s: a neutral comes out with a chroma of %.3f", from.name, to.name, worst)
				}
			}
		}
	}
}

// darkest is the lightness up to which neutrals are not asked to be grey: the
// made-up printers' black is not, and below it colours bend towards it.
func (n named) darkest() float64 {
	if n.name == "printer v2" || n.name == "printer v4" {
		return 12
	}
	return 0
}

// neutralRamp converts R = G = B: the 4096 darkest 16-bit values and then every
// sixteenth.
func neutralRamp(t *testing.T, from, to named, black bool) [][]float64 {
	t.Helper()
	var in [][]float64
	for v := 0; v < 65536; {
		x := float64(v) / 65535
		in = append(in, []float64{x, x, x})
		if v++; v > 4096 {
			v += 15
		}
	}
	return baked(t, Chain{from.Profile, to.Profile, Relative, black}, in)
}

func TestTheDifferenceOfNothingIsNothing(t *testing.T) {
	if d := DeltaE(Lab{50, 1, 2}, Lab{50, 1, 2}); d != 0 || math.Signbit(d) {
		t.Errorf("%v", d)
	}
}
