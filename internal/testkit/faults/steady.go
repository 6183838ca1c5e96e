//go:build linux

package faults

import (
	"fmt"
	"slices"
)

// A leak grows with the work done. Once a daemon is warm, nothing else does, but single
// samples vary. So medians of many samples are compared: the last third with the middle
// third. The first third is for warming up.
const growth = 0.10

// slack is what a median may grow by in addition to growth, because of the garbage collector
// and files that happen to be open.
var slack = Use{RSSKiB: 24 << 10, Handles: 4, Goroutines: 4}

// steady describes what grew over evenly spaced samples, "" for nothing, and the medians.
func steady(all []Use) (grew string, medians [2]Use) {
	third := len(all) / 3
	if third < 10 {
		return fmt.Sprintf("%d samples are too few to find growth", len(all)), medians
	}
	for i, part := range [][]Use{all[len(all)-2*third : len(all)-third], all[len(all)-third:]} {
		medians[i] = Use{
			RSSKiB:     median(part, func(u Use) int { return u.RSSKiB }),
			Handles:    median(part, func(u Use) int { return u.Handles }),
			Goroutines: median(part, func(u Use) int { return u.Goroutines }),
		}
	}
	for _, x := range []struct {
		what                string
		before, after, more int
	}{
		{"memory in KiB", medians[0].RSSKiB, medians[1].RSSKiB, slack.RSSKiB},
		{"file handles", medians[0].Handles, medians[1].Handles, slack.Handles},
		{"goroutines", medians[0].Goroutines, medians[1].Goroutines, slack.Goroutines},
	} {
		if most := float64(x.before)*(1+growth) + float64(x.more); float64(x.after) > most {
			grew += fmt.Sprintf("%s grew from %d to %d; ", x.what, x.before, x.after)
		}
	}
	return grew, medians
}

func median(all []Use, of func(Use) int) int {
	values := make([]int, len(all))
	for i, u := range all {
		values[i] = of(u)
	}
	slices.Sort(values)
	return values[len(values)/2]
}
