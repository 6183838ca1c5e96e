package daemon

import (
	"testing"
	"time"
)

func TestTheRestTakesAsLongAsWhatWasMade(t *testing.T) {
	var p Pace
	evening := time.Date(2026, 3, 14, 22, 0, 0, 0, time.UTC)
	at := func(s int) time.Time { return evening.Add(time.Duration(s) * time.Second) }
	for _, step := range []struct {
		name     string
		at       int // s after it began
		orders   int
		takes    time.Duration
		begins   bool
		wantLeft time.Duration
	}{
		{"nothing is made yet", 0, 3, 30 * time.Second, true, 0},
		{"nor is it later", 20, 3, 30 * time.Second, false, 0},
		{"a third took 40 s", 40, 2, 20 * time.Second, false, 80 * time.Second},
		{"more came meanwhile", 40, 4, 40 * time.Second, false, 160 * time.Second},
		{"all is made", 200, 0, 0, false, 0},
		{"the next run's pace is its own", 10_000, 1, 10 * time.Second, true, 0},
		{"a clock that was put back says nothing", 9_000, 1, 5 * time.Second, false, 0},
	} {
		if begins := p.Waiting(step.orders, step.takes, at(step.at)); begins != step.begins {
			t.Errorf("%s: a run begins: %v", step.name, begins)
		}
		if left := p.Left(at(step.at)); left != step.wantLeft {
			t.Errorf("%s: %v left, want %v", step.name, left, step.wantLeft)
		}
	}
}
