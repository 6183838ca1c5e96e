package order

import (
	"testing"

	"sizewright/internal/config"
)

func TestAStrictStockHoldsAPictureWithABrokenProfile(t *testing.T) {
	info := picture(3000, 2000)
	info.Profile = []byte("broken")
	for _, strict := range []bool{false, true} {
		p := NewPlan(info, asked(t, "A5", func(s *config.Settings) { s.StrictProfile = strict }))
		if (p.Refusal != nil) != strict {
			t.Errorf("strict %v: refusal %+v", strict, p.Refusal)
		}
		if !has(p, "profile-unusable") {
			t.Errorf("cautions %+v", p.Cautions)
		}
	}
}
