package colour

import (
	"math"
	"testing"
)

// A neutral ramp must stay neutral and rise for every pair of RGB spaces and printers. In
// the deepest shadows every 16-bit value is checked, since banding would show there. Every other
// pair has black point compensation.
func TestNeutralsStayNeutralAndRampsRise(t *testing.T) {
	all := profilesUnderTest(t)
	in := neutrals()
	for i, from := range all {
		for k, to := range all {
			if from.Channels != 3 || to.Channels != 3 || from.name == to.name {
				continue
			}
			black := (i+k)%2 == 1
			ramp := baked(t, Chain{from.Profile, to.Profile, Relative, black}, in)
			colour, err := to.toXYZ(Relative)
			if err != nil {
				t.Fatal(err)
			}
			// A table may itself tint a neutral by more than 0.3, as the
			// synthetic printers do where they clip. Then Little CMS's result is the reference,
			// within the same 0.3.
			own := chromaByLittleCMS(t, from, to, black, in)
			for i, d := range ramp {
				if c := colour(d).Lab().Chroma(); c > 0.3 && c > own[i/chromaStep]+0.3 {
					t.Errorf("%s to %s: neutral %v comes out with a chroma of %.3f, from Little CMS with %.3f", from.name, to.name, in[i][0], c, own[i/chromaStep])
					break
				}
				if i > 0 && (d[0] < ramp[i-1][0] || d[1] < ramp[i-1][1] || d[2] < ramp[i-1][2]) {
					t.Errorf("%s to %s: step %d falls from %v to %v", from.name, to.name, i, ramp[i-1], d)
					break
				}
			}
		}
	}
}

// chromaStep is how many neutrals share one result of Little CMS.
const chromaStep = 16

// chromaByLittleCMS returns the chroma of every chromaStep-th neutral. It is 0, without a
// conversion, for destinations that cannot tint a neutral.
func chromaByLittleCMS(t *testing.T, from, to named, black bool, in [][]float64) []float64 {
	t.Helper()
	chroma := make([]float64, len(in)/chromaStep+1)
	if to.name != "printer v2" && to.name != "printer v4" {
		return chroma
	}
	var some [][]float64
	for i := 0; i < len(in); i += chromaStep {
		some = append(some, in[i])
	}
	colour, err := to.toXYZ(Relative)
	if err != nil {
		t.Fatal(err)
	}
	for i, d := range byLittleCMS(t, from, to, Relative, black, some) {
		chroma[i] = colour(d).Lab().Chroma()
	}
	return chroma
}

// neutrals returns R = G = B: the 4096 darkest 16-bit values and then every sixteenth.
func neutrals() (in [][]float64) {
	for v := 0; v < 65536; {
		x := float64(v) / 65535
		in = append(in, []float64{x, x, x})
		if v++; v > 4096 {
			v += 15
		}
	}
	return in
}

func TestTheDifferenceOfNothingIsNothing(t *testing.T) {
	if d := deltaE(Lab{50, 1, 2}, Lab{50, 1, 2}); d != 0 || math.Signbit(d) {
		t.Errorf("%v", d)
	}
}
