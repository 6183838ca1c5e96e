package roll

import (
	"strconv"
	"strings"
	"testing"
)

type instance struct {
	name          string
	width, height int
	sides         string
}

// Hopper and Turton, "An empirical investigation of meta-heuristic and heuristic
// algorithms for a 2D packing problem", European Journal of Operational Research 128
// (2001), as listed in 2DPackLib (University of Bologna), categories C1 to C4: a
// rectangle of known width and height was cut up, so the height is the best possible. The
// paper does not say whether guillotine cuts can reach it. Sides are width and height of
// each item; here one unit is a millimetre.
var published = []instance{
	{"C1 P1", 20, 20, "2 12 7 12 8 6 3 6 3 5 5 5 3 12 3 7 5 7 2 6 3 2 4 2 3 4 4 4 9 2 11 2"},
	{"C1 P2", 20, 20, "4 1 4 5 9 4 3 5 3 9 1 4 5 3 4 1 5 5 7 2 9 3 3 13 2 8 15 4 5 4 10 6 7 2"},
	{"C1 P3", 20, 20, "4 14 5 2 2 2 9 7 5 5 2 5 7 7 3 5 6 5 3 2 6 2 4 6 6 3 10 3 6 3 10 3"},
	{"C2 P1", 40, 15, "11 3 13 3 9 2 7 2 9 3 7 3 11 2 13 2 11 4 13 4 3 5 11 2 2 2 11 3 2 3 5 4 6 4 12 2 1 2 3 5 13 5 12 4 1 4 5 2 6 2"},
	{"C2 P2", 40, 15, "11 2 2 3 10 7 8 4 9 5 7 2 4 1 6 1 4 5 8 3 1 3 5 5 3 1 12 4 6 2 2 4 11 4 10 2 3 2 11 2 3 4 26 4 8 4 3 2 6 2"},
	{"C2 P3", 40, 15, "12 7 7 7 7 1 5 1 3 2 6 2 7 2 5 2 3 1 6 1 12 6 9 6 12 2 7 2 10 3 4 1 5 1 16 3 5 3 4 2 5 2 10 3 9 3 16 3 5 3"},
	{"C3 P1", 60, 30, "7 5 14 5 14 8 4 8 21 13 7 11 14 11 14 5 4 5 18 3 21 3 17 11 4 11 7 4 5 4 6 7 18 5 3 5 7 3 5 3 18 4 3 4 12 2 6 2 18 5 21 5 17 3 4 3"},
	{"C4 P1", 60, 60, "2 7 24 7 16 4 18 4 16 7 18 7 2 4 24 4 4 28 6 18 14 12 2 12 18 19 9 8 7 8 9 11 7 11 14 6 2 6 6 10 16 10 3 5 4 5 8 12 3 18 3 3 8 3 5 20 3 17 3 7 5 7 3 7 4 7 4 21 10 19 4 17 8 17 3 10 5 10 7 6 8 6 15 12 3 12 11 10 5 10 4 2 8 2 10 2 12 2"},
}

// allowed is how much longer a plan may be: a unit where items may turn, four where they
// may not. No instance is longer today.
func allowed(turn bool) float64 {
	if turn {
		return 1
	}
	return 4
}

func publishedItems(t *testing.T, k int, mayTurn bool) []Item {
	t.Helper()
	var n []float64
	for _, f := range strings.Fields(published[k].sides) {
		v, err := strconv.Atoi(f)
		if err != nil {
			t.Fatal(err)
		}
		n = append(n, float64(v))
	}
	var sides [][2]float64
	area := 0.0
	for i := 0; i < len(n); i += 2 {
		sides = append(sides, [2]float64{n[i], n[i+1]})
		area += n[i] * n[i+1]
	}
	if want := float64(published[k].width * published[k].height); area != want {
		t.Fatalf("%s: items have %v, the rectangle %v: the table is wrong", published[k].name, area, want)
	}
	return prints(mayTurn, sides...)
}

func TestPublishedInstances(t *testing.T) {
	for k, in := range published {
		for _, turn := range []bool{true, false} {
			items := publishedItems(t, k, turn)
			p := Pack(items, Roll{WidthMM: float64(in.width)})
			check(t, items, p)
			over := 100 * (p.LengthMM/float64(in.height) - 1)
			t.Logf("%s, turning %v: %v of %d, %.1f %% over", in.name, turn, p.LengthMM, in.height, over)
			if p.LengthMM < float64(in.height) {
				t.Errorf("%s is shorter than can be", in.name)
			}
			if p.LengthMM > float64(in.height)+allowed(turn) {
				t.Errorf("%s is worse than it was", in.name)
			}
		}
	}
}
