//go:build linux

package faults

import (
	"context"
	"time"
)

// hostile drops all hostile files several times, among good pictures. One daemon must
// survive all of them.
func hostile(ctx context.Context, t *modeRun) error {
	n, err := t.begin(0, Settings{})
	if err != nil {
		return err
	}
	if err := n.DropClutter(); err != nil {
		return err
	}
	d := n.Start(0)
	count := 0
	for i := range t.Tries {
		for _, p := range Hostile(n.rand) {
			n.put(folders[n.n%len(folders)], oddName(n.rand, n.n, p.Suffix), p)
			n.n++
			count++
		}
		n.Drop(t.share(i), Mix{Broken: 5}, nil)
	}
	n.Finish(ctx, 3*time.Minute)
	if use, err := d.Use(); err == nil {
		t.result.note("%d files; the daemon took %d MiB at most", count, use.PeakKiB>>10)
	}
	return nil
}
