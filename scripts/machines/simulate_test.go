//go:build linux

package main

import "testing"

// The simulation comes to what its slowest part alone would.
func TestTheSlowestPartDecides(t *testing.T) {
	const night = 32400
	learned := costs{name: "learned", here: 60.5, daemon: 23.1, worker: 54.8, sent: 3e6, fetched: 239e6}
	for _, c := range []struct {
		name    string
		costs   costs
		workers int
		bytes   float64
		want    float64
	}{
		{"the studio alone", learned, 0, 1e12, night * cores / 60.5},
		{"one worker and the studio", costs{here: 60, daemon: 1e-3, worker: 60}, 1, 1e12, 2 * night * cores / 60},
		{"a daemon that reads and checks", learned, 64, 1e12, night * cores / 23.1},
		{"a slow connection", costs{here: 1e5, daemon: 0.1, worker: 10, sent: 10e6, fetched: 90e6}, 8, 1e6, night / 100},
	} {
		made, why := simulate(c.costs, c.workers, c.bytes, night)
		if m := float64(made); m < 0.93*c.want || m > 1.02*c.want {
			t.Errorf("%s: %d prints, want about %.0f; busiest is %s", c.name, made, c.want, why)
		}
	}
}
