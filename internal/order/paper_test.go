package order

import (
	"math"
	"strings"
	"testing"

	"sizewright/internal/config"
	"sizewright/internal/sheet"
)

// Paper 100 mm wide with margins of 3 mm at each side leaves 94 mm.
func TestAPrintTooLargeForItsPaperIsHeldWithTheLargestThatFits(t *testing.T) {
	o := asked(t, "110x165mm", func(s *config.Settings) { s.MinimumPPI, s.CautionPPI = 1, 1 })
	o.Media = []sheet.Media{{Name: "small", Kind: sheet.CutSheet, WidthMM: 100, LengthMM: 120,
		Margins: sheet.Margins{LeftMM: 3, RightMM: 3, LeadingMM: 3, TrailingMM: 15}}}
	p := NewPlan(picture(600, 400), o)
	if p.Refusal == nil || p.Refusal.Code != "too-large-for-paper" || !strings.Contains(p.Refusal.Text, "too wide") {
		t.Fatalf("refusal %+v", p.Refusal)
	}
	if r := p.Refusal; math.Abs(r.WidthMM/r.HeightMM-1.5) > 0.01 || r.HeightMM > 94 || r.WidthMM > 102 {
		t.Errorf("the largest is %v x %v mm", r.WidthMM, r.HeightMM)
	}
	o.Media = append(o.Media, sheet.RollOf("roll", 200))
	if p := NewPlan(picture(600, 400), o); p.Refusal != nil || p.Paper.Layout.Media != "roll" {
		t.Errorf("with a roll beside: %+v on %+v", p.Refusal, p.Paper.Layout.Media)
	}
}
