package roll

import "testing"

// nights are random nights with the shortest known length of each: by a search of every
// pattern up to 8 prints, by searches ten times as long for more.
var nights = []struct {
	prints int
	known  bool // usual sizes, otherwise any
	roll   Roll
	bestMM float64
}{
	{7, true, house, 1740.6},
	{8, true, house, 2031.8},
	{8, false, limited, 1212.7},
	{8, false, house, 1798},
	{12, true, limited, 1244.6},
	{12, false, house, 2499},
	{25, true, house, 5691},
	{25, false, limited, 2676.15},
	{60, true, limited, 8294.65},
	{60, false, house, 11616},
	{150, true, house, 38634.2},
}

var limited = Roll{WidthMM: 1118, Left: 3, Right: 12, Leading: 3, Trailing: 60, MaxLengthMM: 1500, GapMM: 6.35, LaneMM: 10}

func TestNightsTakeLittleMoreThanTheShortestKnown(t *testing.T) {
	var g generator
	var over float64
	for _, n := range nights {
		items := g.night(n.prints, 80, 600)
		if n.known {
			items = g.known(n.prints)
		}
		p := Pack(items, n.roll)
		check(t, items, p)
		more := 100 * (p.LengthMM/n.bestMM - 1)
		t.Logf("%d prints: %v mm, the shortest known %v, %+.1f %%", n.prints, p.LengthMM, n.bestMM, more)
		over += more / float64(len(nights))
		if more > 5 {
			t.Errorf("%d prints take %.1f %% more than they need", n.prints, more)
		}
	}
	if over > 2 {
		t.Errorf("nights take %.1f %% more paper than they need", over)
	}
}
