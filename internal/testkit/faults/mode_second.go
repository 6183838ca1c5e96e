//go:build linux

package faults

import (
	"context"
	"os/exec"
	"strings"
	"time"
)

// second starts daemons where one runs, and two at the same moment where none runs: all
// except one must be refused.
func second(ctx context.Context, t *modeRun) error {
	n, err := t.begin(0, Settings{})
	if err != nil {
		return err
	}
	for i := range t.Tries {
		n.Drop(t.share(i), Usual, nil)
		if i%2 == 0 {
			n.twoAtOnce(ctx)
		} else {
			n.another(ctx, []string{"serve", "once"}[i/2%2])
		}
	}
	n.Start(0)
	n.Finish(ctx, time.Minute)
	return nil
}

const refusal = "already at work"

// another runs a second command while a daemon works.
func (n *Trial) another(ctx context.Context, command string) {
	d := n.Start(0)
	defer d.Stop()
	if !d.Serving(ctx, stopPatience) {
		return // Stop notes that
	}
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	out, err := exec.CommandContext(ctx, n.Binary, command, "--studio", n.Studio()).CombinedOutput()
	if err == nil || !strings.Contains(string(out), refusal) {
		n.wrong.add(Wrong, "a second daemon was not refused: %v, %s", err, out)
	}
}

// twoAtOnce starts two daemons, of which one must be refused.
func (n *Trial) twoAtOnce(ctx context.Context) {
	a, b := n.Start(0), n.Start(0)
	for end := time.Now().Add(10 * time.Second); a.Alive() && b.Alive() && time.Now().Before(end); {
		asleep(ctx, 5*time.Millisecond)
	}
	refused := 0
	for _, d := range []*Daemon{a, b} {
		if !d.Alive() {
			refused++
			d.meant = true
			if !d.Said(refusal) {
				n.wrong.add(Wrong, "of two daemons one ended without saying that the other is at work: %s", d.log.tail(3))
			}
		}
	}
	if refused != 1 {
		n.wrong.add(Wrong, "of two daemons started at once %d were refused", refused)
	}
	a.Stop()
	b.Stop()
}
