package daemon

import (
	"testing"

	"sizewright/internal/config"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/record"
)

// A panic on the way leaves a record, which must not tell numbers that measuring would
// have changed.
func TestWhatIsOnlyForeseenIsNotOnRecordAsDecided(t *testing.T) {
	o := must(order.NewOrder("A6", config.Default()))
	info := &photo.Info{Format: "JPEG", Width: 3000, Height: 2000, Orientation: 1, Bits: 8, Model: photo.RGB}
	j := &job{rec: &record.Record{}, decision: &order.Decision{Request: order.Request{Order: o}, Info: info, Plan: order.NewPlan(info, o)}}
	if err := j.decided(); err != nil || j.rec.Plan != nil || j.rec.Source.Width != 3000 {
		t.Errorf("foreseen: %v, %+v", err, j.rec)
	}
	j.decision.Stage = order.Final
	if err := j.decided(); err != nil || j.rec.Plan == nil {
		t.Errorf("decided: %v, %+v", err, j.rec)
	}
}
