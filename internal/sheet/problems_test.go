package sheet

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"sizewright/internal/printsize"
)

func TestBadMediaIsSaidByItsKey(t *testing.T) {
	tests := []struct {
		name  string
		spoil func(*Media)
		key   string
		says  string
	}{
		{"no kind", func(m *Media) { m.Kind = "reel" }, "kind", `give "sheet" or "roll"`},
		{"no width", func(m *Media) { m.WidthMM = 0 }, "width_mm", "above 0"},
		{"no number", func(m *Media) { m.LengthMM = math.NaN() }, "length_mm", "millimetres"},
		{"endless", func(m *Media) { m.LengthMM = math.Inf(1) }, "length_mm", "at most"},
		{"a negative margin", func(m *Media) { m.Margins.TrailingMM = -1 }, "margins.trailing_mm", "0 or more"},
		{"margins wider than the sheet", func(m *Media) { m.Margins.LeftMM = 207 }, "margins", "make them smaller"},
		{"margins longer than the sheet", func(m *Media) { m.Margins.LeadingMM = 300 }, "margins", "make them smaller"},
		{"a side that is none", func(m *Media) { m.Modes = map[string]Mode{"fine": {"top", 3}} }, "modes.fine.side", `"trailing"`},
		{"a mode that takes away", func(m *Media) { m.Modes = map[string]Mode{"very fine": {Leading, -3}} }, `modes."very fine".extra_mm`, "0 or more"},
		{"a mode that leaves nothing", func(m *Media) { m.Modes = map[string]Mode{"fine": {Leading, 290}} }, "modes.fine.extra_mm", "mode fine"},
		{"longer than any run", func(m *Media) { m.MaxLengthMM = 200 }, "max_length_mm", "correct one of the two"},
		{"a roll with a length", func(m *Media) { m.Kind = Roll }, "length_mm", "max_length_mm"},
		{"a run that is all margin", func(m *Media) { m.Kind, m.LengthMM, m.MaxLengthMM = Roll, 0, 10 }, "margins", "longest run"},
	}
	for _, test := range tests {
		m := sized("A4")
		test.spoil(&m)
		found := m.Problems()
		if len(found) != 1 || found[0].Key != test.key || !strings.Contains(found[0].Text, test.says) {
			t.Errorf("%s: %+v", test.name, found)
		}
		l := New(100, 100, m, Options{})
		if l.Fits || len(l.Problems) != 1 {
			t.Errorf("%s: laid out all the same", test.name)
		}
		if _, err := json.Marshal(l); err != nil {
			t.Errorf("%s: %v", test.name, err)
		}
	}
	all := []Media{RollOf("24 in", 610)}
	for _, s := range printsize.Known() {
		all = append(all, sheetOf(s))
	}
	for _, m := range all {
		if found := m.Problems(); len(found) > 0 {
			t.Errorf("%s: %+v", m.Name, found)
		}
	}
}

func TestBadOptionsAreSaidByTheirKey(t *testing.T) {
	m := sized("A4")
	m.Modes = map[string]Mode{"fine": {Trailing, 3}}
	for key, o := range map[string]Options{
		"mode":                  {Mode: "finer"},
		"placement":             {Placement: "middle"},
		"raise_share":           {RaiseShare: 0.2},
		"border.kind":           {Border: Border{Kind: "thick"}},
		"border.mm":             {Border: Border{Kind: Even}},
		"border.outer_width_mm": {Border: Border{Kind: Outer, OuterHeightMM: 200}},
		"border.overlap_mm":     {Border: Border{Kind: Mat, OuterWidthMM: 200, OuterHeightMM: 200, OverlapMM: -1}},
		"bleed":                 {Bleed: "smear"},
		"bleed_mm":              {BleedMM: 3, Border: Border{Kind: Even, MM: 10}},
		"wrap_mm":               {WrapMM: 120}, // of a picture of 100
		"mark_length_mm":        {MarkLengthMM: math.NaN()},
		"caption_height_mm":     {CaptionHeightMM: -3},
	} {
		l := New(100, 100, m, o)
		if len(l.Problems) != 1 || l.Problems[0].Key != key {
			t.Errorf("%s: %+v", key, l.Problems)
		}
	}
	if got := New(100, 100, m, Options{Mode: "finer"}).Problems[0].Text; !strings.Contains(got, "give one of fine") {
		t.Errorf("%q", got)
	}
	for _, side := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if l := New(side, 100, m, Options{}); len(l.Problems) != 1 || l.Problems[0].Key != "picture" {
			t.Errorf("a picture %g wide: %+v", side, l.Problems)
		}
	}
}
