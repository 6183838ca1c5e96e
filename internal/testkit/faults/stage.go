//go:build linux

package faults

import (
	"os"
	"path/filepath"
	"slices"
)

// Stage is the stage of the order that was furthest.
type Stage int

// The stages in their order, recognised by what is in the studio.
const (
	Idle     Stage = iota // nothing in hand
	Starting              // the daemon repairs what the last one left
	Claiming              // the claim exists without the picture
	Reading               // the picture is in the claim: hashed, decoded, measured
	Printing              // files are being made
	Saving                // the record is written and everything is synced to disk
	Moving                // files are moved to their final places
	Clearing              // all files have arrived; the claim is removed
	Telling               // the morning report is written
)

var stageNames = []string{"idle", "starting", "claiming", "reading", "printing", "saving", "moving", "clearing", "reporting"}

func (s Stage) String() string { return stageNames[s] }

// stage returns the current stage in the studio.
func (n *Trial) stage() Stage {
	const dir = ".sizewright/claims"
	claims, _ := os.ReadDir(n.path(dir))
	furthest := Idle
	for _, c := range claims {
		furthest = max(furthest, stageOf(n.path(dir, c.Name())))
	}
	if furthest == Idle && len(n.newPages()) > 0 {
		return Telling
	}
	return furthest
}

// leastPage is larger than the status files that daemons write in the same way.
const leastPage = 8 << 10

// newPages returns the pages being written, without those that killed daemons left.
func (n *Trial) newPages() (names []string) {
	pages, _ := os.ReadDir(n.path(".sizewright", "tmp"))
	for _, p := range pages {
		if info, err := p.Info(); err == nil && info.Size() > leastPage && !slices.Contains(n.oldPages, p.Name()) {
			names = append(names, p.Name())
		}
	}
	return names
}

func stageOf(claim string) Stage {
	names := func(dir string) []string {
		entries, _ := os.ReadDir(filepath.Join(claim, dir))
		out := make([]string, len(entries))
		for i, e := range entries {
			out[i] = e.Name()
		}
		return out
	}
	original, made, own := names("original"), names("made"), names("")
	decided := slices.Contains(own, "publish.json")
	switch {
	case decided && len(original)+len(made) == 0:
		return Clearing
	case decided:
		return Moving
	case len(original) == 0:
		return Claiming
	case slices.Contains(made, "record.json"):
		return Saving
	case len(made) > 0:
		return Printing
	}
	return Reading
}
