package order

import (
	"errors"
	"testing"

	"sizewright/internal/hold"
)

func TestNoPrintIsMadeByWhatIsOnlyForeseen(t *testing.T) {
	d := decided(t, "A2", nil)
	d.planned(NewPlan(picture(6240, 4160), d.Order))
	if d.Stage != Foreseen || d.Hold != nil {
		t.Fatalf("%+v", d)
	}
	if _, err := d.Recipe(); err == nil {
		t.Error("it has a recipe")
	}
	d.Stage = Final
	if r, err := d.Recipe(); err != nil || r.Print.Width != 8419 {
		t.Errorf("decided, it has %+v, %v", r.Print, err)
	}
}

// A hold by the header stays, whatever is measured.
func TestAHoldIsFinal(t *testing.T) {
	d := decided(t, "40x60in", nil)
	d.planned(NewPlan(picture(300, 200), d.Order))
	var h *hold.Hold
	if _, err := d.Recipe(); d.Stage != Final || !errors.As(err, &h) || h.Code != "too-few-pixels" {
		t.Errorf("stage %v, %v", d.Stage, err)
	}
}
