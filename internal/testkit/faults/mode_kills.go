//go:build linux

package faults

import (
	"context"
	"fmt"
	"math"
	"strings"
	"time"
)

// aims are the stages that every second kill waits for, in turn. A kill at a random moment
// nearly always hits decoding or rendering.
var aims = []Stage{Claiming, Reading, Printing, Saving, Moving, Clearing}

const (
	aimPatience = 3 * time.Second
	tellEvery   = 20 // number of kills between those that wait for the morning report
)

// kills ends the daemon without warning, again and again, while orders come in.
func kills(ctx context.Context, t *modeRun) error {
	n, err := t.begin(0, Settings{})
	if err != nil {
		return err
	}
	if err := n.DropClutter(); err != nil {
		return err
	}
	bad, hit := Hostile(n.rand), make([]int, len(stageNames))
	for k := range t.Tries {
		if ctx.Err() != nil {
			return nil
		}
		n.Drop(t.share(k), Usual, bad)
		if k%25 == 3 {
			n.MoveFolderIn(3)
		}
		d := n.Start(0)
		t.await(ctx, d, k)
		d.Kill()
		hit[n.struck(d)]++
		if k%20 == 19 {
			t.Say("%d kills: %s", k+1, hits(hit))
		}
	}
	t.result.note("%s", hits(hit))
	n.Start(0)
	n.Finish(ctx, 5*time.Minute)
	return nil
}

// await waits for the moment of kill k.
func (t *modeRun) await(ctx context.Context, d *Daemon, k int) {
	n := t.trial
	switch {
	case k%tellEvery == tellEvery-1:
		n.aim(ctx, d, Telling, 10*aimPatience)
	case k%2 == 1:
		n.aim(ctx, d, aims[k/2%len(aims)], aimPatience)
	default: // from 2 ms to 3 s, evenly on a logarithmic scale
		asleep(ctx, time.Duration(2e6*math.Pow(1500, n.rand.Float64())))
	}
}

// aim waits until a stage is seen, or patience runs out.
func (n *Trial) aim(ctx context.Context, d *Daemon, s Stage, patience time.Duration) {
	end := time.Now().Add(patience)
	if !d.Serving(ctx, patience) {
		return
	}
	for time.Now().Before(end) && ctx.Err() == nil && n.stage() != s {
		time.Sleep(50 * time.Microsecond)
	}
}

// struck returns the stage in which a daemon was killed, by what it left.
func (n *Trial) struck(d *Daemon) Stage {
	s := n.stage()
	n.oldPages = append(n.oldPages, n.newPages()...)
	if !d.Said(`"msg":"serving"`) {
		return Starting
	}
	return s
}

func hits(hit []int) string {
	var all []string
	for s, times := range hit {
		if times > 0 {
			all = append(all, fmt.Sprintf("%s %d", Stage(s), times))
		}
	}
	return strings.Join(all, ", ")
}
