package roll

import (
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
)

var house = Roll{WidthMM: 610, Left: 3, Right: 3, Leading: 5, Trailing: 20, GapMM: 4, LaneMM: 2}

// Layouts worked by hand.
func TestWorkedLayouts(t *testing.T) {
	for _, c := range []struct {
		name   string
		items  []Item
		roll   Roll
		length float64
		runs   int
	}{
		{"one print and nothing else", prints(false, [2]float64{300, 400}), Roll{WidthMM: 600}, 400, 1},
		{"it lies down where that is shorter", prints(true, [2]float64{300, 400}), Roll{WidthMM: 600}, 300, 1},
		{"two A4 beside each other and a gap", prints(false, [2]float64{210, 297}, [2]float64{210, 297}), Roll{WidthMM: 424, GapMM: 4}, 297, 1},
		{"a gap too many", prints(false, [2]float64{210, 297}, [2]float64{210, 297}), Roll{WidthMM: 423.9, GapMM: 4}, 598, 1},
		{"lanes and margins take width, ends take length", prints(false, [2]float64{210, 297}, [2]float64{210, 297}), Roll{WidthMM: 424 + 3 + 4 + 2*5, Left: 3, Right: 4, Leading: 7, Trailing: 30, GapMM: 4, LaneMM: 5}, 7 + 297 + 30, 1},
		{"and a tenth less width is a row more", prints(false, [2]float64{210, 297}, [2]float64{210, 297}), Roll{WidthMM: 440.9, Left: 3, Right: 4, Leading: 7, Trailing: 30, GapMM: 4, LaneMM: 5}, 7 + 598 + 30, 1},
		// 600 x 400 cut up.
		{"an L that closes", prints(true, [2]float64{400, 200}, [2]float64{400, 200}, [2]float64{200, 400}), Roll{WidthMM: 600}, 400, 1},
		{"runs no longer than the printer's", prints(false, [2]float64{500, 400}, [2]float64{500, 400}, [2]float64{500, 400}), Roll{WidthMM: 600, MaxLengthMM: 850, Leading: 10, Trailing: 20, GapMM: 5}, 835 + 430, 2},
		{"inches: 24 in across a 24 in roll", prints(true, [2]float64{609.6, 914.4}), Roll{WidthMM: 609.6}, 914.4, 1},
		{"nothing at all", nil, house, 0, 0},
	} {
		p := Pack(c.items, c.roll)
		check(t, c.items, p)
		if math.Abs(p.LengthMM-c.length) > tolerance || len(p.Runs) != c.runs || len(p.Unplaced) > 0 {
			t.Errorf("%s: %v mm in %d runs, by hand %v in %d; %+v", c.name, p.LengthMM, len(p.Runs), c.length, c.runs, p.Unplaced)
		}
	}
}

func TestPlansKeepTheirPromises(t *testing.T) {
	var g generator
	for _, r := range []Roll{
		{WidthMM: 610},
		house,
		{WidthMM: 1118, Left: 3, Right: 12, Leading: 3, Trailing: 60, MaxLengthMM: 1500, GapMM: 6.35, LaneMM: 10},
		{WidthMM: 432, MaxLengthMM: 700, GapMM: 50},
		{WidthMM: 610, GapMM: 0.00003},
	} {
		for _, n := range []int{1, 2, 5, 8} {
			for _, items := range [][]Item{g.night(n, 40, 600), g.known(n), g.night(n, 5, 30)} {
				check(t, items, Pack(items, r))
			}
		}
		for _, items := range [][]Item{g.night(9, 40, 600), g.known(30), g.night(13, 5, 30)} {
			check(t, items, Pack(items, r))
		}
	}
}

// A size in whole pixels is not a round number of millimetres.
func TestSizesInPixels(t *testing.T) {
	var items []Item
	for k := range 12 {
		items = append(items, Item{fmt.Sprint(k), float64(2976+k%3) * 25.4 / 360, 4209 * 25.4 / 360, k%2 == 0})
	}
	p := Pack(items, house)
	check(t, items, p)
	if len(p.Unplaced) > 0 {
		t.Error(p.Unplaced)
	}
}

func TestTwoHundredPrints(t *testing.T) {
	var g generator
	items := append(g.known(120), g.night(80, 80, 600)...)
	for k := range items {
		items[k].ID = fmt.Sprint(k)
	}
	p := Pack(items, house)
	check(t, items, p)
	t.Logf("%.1f %% above the bound", 100*(p.LengthMM/p.LowerBoundMM-1))
	if p.LengthMM > 1.15*p.LowerBoundMM {
		t.Errorf("%v mm where %v is the bound", p.LengthMM, p.LowerBoundMM)
	}
}

func TestTheSamePrintsGiveTheSamePlan(t *testing.T) {
	var g generator
	items := g.night(25, 80, 600)
	a, b := Pack(items, house), Pack(items, house)
	if !reflect.DeepEqual(a, b) {
		t.Error("two plans of the same night differ")
	}
}

func TestWhatHasNoRoomIsNamedAndTheRestIsPlaced(t *testing.T) {
	r := Roll{WidthMM: 610, MaxLengthMM: 1000, Left: 5, Right: 5, Leading: 10, Trailing: 20}
	for _, c := range []struct {
		item Item
		says string
	}{
		{Item{"wide", 700, 800, true}, "shorter side is 700 mm and the roll has 600 mm"},
		{Item{"fixed", 700, 800, false}, "700 mm wide and the roll has 600 mm"},
		{Item{"turn me", 700, 500, false}, "would fit only when turned"},
		{Item{"long", 500, 1200, true}, "a run has 970 mm"},
		{Item{"long and fixed", 500, 1200, false}, "a run has 970 mm"},
		{Item{"none", 0, 100, true}, "not a possible size"},
		{Item{"less", -10, 100, true}, "not a possible size"},
		{Item{"nan", math.NaN(), 100, true}, "not a possible size"},
		{Item{"inf", 100, math.Inf(1), true}, "not a possible size"},
	} {
		items := []Item{{"good", 200, 300, true}, c.item}
		p := Pack(items, r)
		if len(p.Unplaced) != 1 || p.Unplaced[0].ID != c.item.ID || !strings.Contains(p.Unplaced[0].Sentence, c.says) {
			t.Errorf("%+v: %+v, want %q", c.item, p.Unplaced, c.says)
		}
		if len(p.Runs) != 1 || p.LengthMM != 230 {
			t.Errorf("beside %+v the good one takes %v mm", c.item, p.LengthMM)
		}
	}
}

func TestARollWithoutRoomSaysWhy(t *testing.T) {
	for _, c := range []struct {
		roll Roll
		says string
	}{
		{Roll{}, "take 0 mm of its 0 mm"},
		{Roll{WidthMM: 100, Left: 60, Right: 40}, "take 100 mm of its 100 mm"},
		{Roll{WidthMM: -5}, "its width is -5 mm"},
		{Roll{WidthMM: math.NaN()}, "its width is NaN"},
		{Roll{WidthMM: 600, GapMM: -1}, "its gap is -1"},
		{Roll{WidthMM: 600, Leading: 30, Trailing: 70, MaxLengthMM: 100}, "100 mm of a run's 100 mm"},
		{Roll{WidthMM: 1e12}, "its width is 1e+12"},
	} {
		p := Pack(prints(true, [2]float64{10, 10}), c.roll)
		if len(p.Unplaced) != 1 || !strings.Contains(p.Unplaced[0].Sentence, c.says) || len(p.Runs) > 0 {
			t.Errorf("%+v: %+v, want %q", c.roll, p, c.says)
		}
	}
}

func TestAPlanIsValidJSONWithUnitsInItsNames(t *testing.T) {
	b, err := json.Marshal(Pack(prints(true, [2]float64{210, 297}, [2]float64{9999, 9999}), house))
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{`"length_mm":`, `"lower_bound_mm":`, `"waste_share":`, `"x_mm":`, `"cuts":[]`, `"unplaced":[{`} {
		if !strings.Contains(string(b), key) {
			t.Errorf("no %s in %s", key, b)
		}
	}
}

func TestACutIsASentence(t *testing.T) {
	p := Pack(prints(false, [2]float64{210, 297}, [2]float64{210, 297}), Roll{WidthMM: 424, GapMM: 4})
	if got, want := p.Runs[0].Cuts[0].Sentence(), "Cut 1: along the roll, 212 mm from the part's left edge."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
