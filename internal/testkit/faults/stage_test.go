//go:build linux

package faults

import (
	"os"
	"path/filepath"
	"testing"
)

func TestTheStageOfAClaimIsWhatLiesInIt(t *testing.T) {
	for _, c := range []struct {
		stage Stage
		files []string
	}{
		{Claiming, nil},
		{Claiming, []string{"order.json"}},
		{Reading, []string{"order.json", "original/heron.jpg"}},
		{Printing, []string{"order.json", "original/heron.jpg", "made/print.tif"}},
		{Saving, []string{"order.json", "original/heron.jpg", "made/print.tif", "made/record.json"}},
		{Moving, []string{"order.json", "original/heron.jpg", "made/print.tif", "made/record.json", "publish.json"}},
		{Moving, []string{"order.json", "made/record.json", "publish.json"}},
		{Clearing, []string{"order.json", "publish.json"}},
	} {
		dir := t.TempDir()
		for _, f := range c.files {
			path := filepath.Join(dir, f)
			must(t, os.MkdirAll(filepath.Dir(path), 0o755))
			must(t, os.WriteFile(path, nil, 0o644))
		}
		if got := stageOf(dir); got != c.stage {
			t.Errorf("%q: %s, not %s", c.files, got, c.stage)
		}
	}
}
