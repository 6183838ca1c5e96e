//go:build linux

package faults

import (
	"math/rand/v2"
	"strings"
	"testing"
)

func TestGrowthIsToldFromNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	samples := func(rss, handles, goroutines func(i int) int) (all []Use) {
		for i := range 300 {
			all = append(all, Use{RSSKiB: rss(i) + r.IntN(30<<10), Handles: handles(i) + r.IntN(6), Goroutines: goroutines(i) + r.IntN(10)})
		}
		return all
	}
	flat := func(of int) func(int) int { return func(int) int { return of } }
	leak := func(of, each int) func(int) int { return func(i int) int { return of + i*each/10 } }
	warm := func(of int) func(int) int { return func(i int) int { return min(of/4+i*of/50, of) } }
	for _, c := range []struct {
		claim string
		all   []Use
		grew  string // "" for nothing
	}{
		{"all is flat", samples(flat(90<<10), flat(14), flat(25)), ""},
		{"a daemon warms up", samples(warm(90<<10), warm(14), warm(25)), ""},
		{"half a MiB an order stays", samples(leak(90<<10, 5<<10), flat(14), flat(25)), "memory"},
		{"a handle in ten samples stays open", samples(flat(90<<10), leak(14, 1), flat(25)), "handles"},
		{"a goroutine in ten samples never ends", samples(flat(90<<10), flat(14), leak(25, 1)), "goroutines"},
		{"too few samples", samples(flat(1), flat(1), flat(1))[:20], "too few"},
	} {
		grew, _ := steady(c.all)
		if (grew == "") != (c.grew == "") || !strings.Contains(grew, c.grew) {
			t.Errorf("%s: %q", c.claim, grew)
		}
	}
}
