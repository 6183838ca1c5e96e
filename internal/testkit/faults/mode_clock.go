//go:build linux

package faults

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"time"
)

// clock moves the daemon's wall clock while it works, and drops files with times in other
// years.
func clock(ctx context.Context, t *modeRun) error {
	binary, err := buildSkewed(t.Dir)
	if err != nil {
		return err
	}
	t.Binary = binary
	skew := filepath.Join(t.Dir, "clock")
	if err := os.Setenv(skewEnv, skew); err != nil {
		return err
	}
	defer os.Unsetenv(skewEnv)
	n, err := t.begin(0, Settings{})
	if err != nil {
		return err
	}
	t.result.note("its own clock; the machine's stays")
	moves := []time.Duration{time.Hour, -time.Hour, 30 * time.Second, -30 * time.Second, 400 * 24 * time.Hour, -400 * 24 * time.Hour, -40 * 365 * 24 * time.Hour, 0}
	d := n.Start(0)
	d.Serving(ctx, aimPatience)
	for i := range t.Tries {
		n.Drop(t.share(i), Usual, nil)
		n.aim(ctx, d, aims[i%len(aims)], time.Second)
		off := moves[n.rand.IntN(len(moves))]
		if err := os.WriteFile(skew, fmt.Append(nil, int64(off.Seconds())), 0o644); err != nil {
			return err
		}
		if i%2 == 0 {
			n.putOld(time.Now().Add(moves[n.rand.IntN(len(moves))]))
		}
		asleep(ctx, time.Duration(n.rand.Int64N(1e9)))
		if i%5 == 4 {
			d.Kill()
			d = n.Start(0)
			d.Serving(ctx, aimPatience)
		}
	}
	n.Finish(ctx, 2*time.Minute)
	return nil
}

// putOld moves in a picture with another modification time.
func (n *Trial) putOld(written time.Time) {
	p := Good(n.rand)
	d := drop{n, folders[0], n.name(p.Suffix), p.Data}
	n.n++
	n.Ledger.Add(Order{Folder: d.folder, Name: d.name, Kind: p.Kind, SHA256: sum(p.Data), May: p.May})
	away := filepath.Join(n.Desk(), "old")
	err := d.write(away)
	if err == nil {
		err = os.Chtimes(away, written, written)
	}
	if err == nil {
		err = os.Rename(away, d.path())
	}
	if err != nil {
		panic("faults: " + err.Error())
	}
}
