package order

import (
	"strings"
	"testing"

	"sizewright/internal/config"
	"sizewright/internal/detail"
)

// soft is a picture of 26 megapixels with detail for a ninth of them.
var soft = Measured{Measurement: detail.Measurement{Noise: 0.004, NoiseDark: 0.004, Blur: 2, Edges: 300}, Resolution: 1. / 3, EffectiveMP: 2.9}

// 6240 px over 36 in are 173 ppi; a third of that is detail: 58 ppi, and at least 100
// is needed.
func TestAFileWithLessDetailThanPixelsIsSaidToBeSo(t *testing.T) {
	o := asked(t, "24x36in", nil)
	p := NewPlan(picture(6240, 4160), o)
	q := p.WithMeasurement(soft, o)
	if q.Refusal != nil || len(q.Cautions) != len(p.Cautions) || q.Resolution.DetailPPI != 57.8 || q.Resolution.NativePPI != 173.3 {
		t.Errorf("measured: %+v, %+v, %+v", q.Refusal, q.Cautions, q.Resolution)
	}
	if p.Measured != nil || p.Resolution.DetailPPI != 0 {
		t.Error("the plan that was asked has changed")
	}
}

func TestAFolderMayCountDetailForPixels(t *testing.T) {
	o := asked(t, "24x36in", func(s *config.Settings) { s.MinimumCounts = config.CountDetail })
	q := NewPlan(picture(6240, 4160), o).WithMeasurement(soft, o)
	if q.Refusal == nil || q.Refusal.Code != "too-little-detail" {
		t.Fatalf("not held: %+v", q.Refusal)
	}
	for _, word := range []string{"26.0 megapixels", "about 2.9", "estimate", "58 ppi"} {
		if !strings.Contains(q.Refusal.Text, word) {
			t.Errorf("%q lacks %q", q.Refusal.Text, word)
		}
	}
	// A third of the pixels a side are enough for a third of the size, at the floor
	// of 100 ppi: 6240/3 px at 100 ppi are 528 mm.
	if q.Refusal.WidthMM < 525 || q.Refusal.WidthMM > 529 {
		t.Errorf("it would carry %v mm", q.Refusal.WidthMM)
	}
	sharp := soft
	sharp.Resolution = 0.9
	if r := NewPlan(picture(6240, 4160), o).WithMeasurement(sharp, o).Refusal; r != nil {
		t.Errorf("a sharp one is held: %+v", r)
	}
	unknown := soft
	unknown.Resolution = 0
	if r := NewPlan(picture(6240, 4160), o).WithMeasurement(unknown, o).Refusal; r != nil {
		t.Errorf("one whose detail is not known is held: %+v", r)
	}
	mist := soft
	mist.Plain = true
	if r := NewPlan(picture(6240, 4160), o).WithMeasurement(mist, o).Refusal; r != nil {
		t.Errorf("mist is held for want of detail: %+v", r)
	}
}

func TestASharperViewerAsksMorePixels(t *testing.T) {
	usual := NewPlan(picture(6240, 4160), asked(t, "A4", nil)).Resolution
	sharp := NewPlan(picture(6240, 4160), asked(t, "A4", func(s *config.Settings) { s.Acuity = 1.5 })).Resolution
	if sharp.MinimumPPI < 1.49*usual.MinimumPPI || sharp.MinimumPPI > 1.51*usual.MinimumPPI {
		t.Errorf("acuity 1 asks %v ppi and 1.5 asks %v", usual.MinimumPPI, sharp.MinimumPPI)
	}
}
