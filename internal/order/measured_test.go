package order

import (
	"testing"

	"sizewright/internal/config"
)

func TestASharperViewerAsksMorePixels(t *testing.T) {
	usual := NewPlan(picture(6240, 4160), asked(t, "A4", nil)).Resolution
	sharp := NewPlan(picture(6240, 4160), asked(t, "A4", func(s *config.Settings) { s.Acuity = 1.5 })).Resolution
	if sharp.MinimumPPI < 1.49*usual.MinimumPPI || sharp.MinimumPPI > 1.51*usual.MinimumPPI {
		t.Errorf("acuity 1 asks %v ppi and 1.5 asks %v", usual.MinimumPPI, sharp.MinimumPPI)
	}
}
