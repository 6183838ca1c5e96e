package daemon

import (
	"testing"
	"time"
)

// A photograph may be dropped while another of its name is on the press.
func TestTwoOrdersOfOneNameAreToldApart(t *testing.T) {
	h := &tracker{to: silent{}, now: time.Now}
	first := h.started("1", "A6", "marsh.jpg")
	first.rendering(95, 100)
	second := h.started("2", "A6", "marsh.jpg")
	second.reserve(100)
	all := h.inHand()
	if len(all) != 2 || all[0].Stage != stagePrinting || all[0].Share != 0.95 || all[1].Stage != stageReading {
		t.Errorf("in hand are %+v", all)
	}
	first.over()
	if all = h.inHand(); len(all) != 1 || all[0].ID != "2" || h.reserved() != 100 {
		t.Errorf("when the first is over, in hand are %+v with %d bytes reserved", all, h.reserved())
	}
}

// An attempt that never took anything has nothing to put down.
func TestAnAttemptThatFindsNothingEndsNobodysOrder(t *testing.T) {
	_, o := newStudio(t, "A6", quick)
	r, leave, err := open(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	defer leave()
	r.tracker.started("1", "A6", "marsh.jpg")
	r.attempt(t.Context(), dropped("A6", "marsh.jpg", 0))
	if n := len(r.tracker.inHand()); n != 1 {
		t.Errorf("%d orders are in hand, want the one that is being made", n)
	}
}
