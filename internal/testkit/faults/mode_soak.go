//go:build linux

package faults

import (
	"context"
	"fmt"
	"os"
	"sync"
	"time"
)

// sampleEvery is how often the soak samples the daemon's use of resources.
const sampleEvery = 250 * time.Millisecond

// soak sends many orders through one studio with constant faults. The daemon is killed a few
// times in the first fifth. The next one lives to the end, and must not use more resources
// in its last third than before.
func soak(ctx context.Context, t *modeRun) error {
	uid := 0
	if os.Geteuid() == 0 {
		uid = nobody
	}
	n, err := t.begin(uid, Settings{})
	if err != nil {
		return err
	}
	bad, d := Hostile(n.rand), n.Start(0)
	var samples sampler
	for i := range t.Tries {
		if ctx.Err() != nil {
			return nil
		}
		n.Drop(t.share(i), Usual, bad)
		if err := t.trouble(ctx, i, d); err != nil {
			return err
		}
		switch {
		case i < t.Tries/5:
			d.Kill()
			d = n.Start(0)
		case i == t.Tries/5:
			samples.watch(n, d)
		}
		n.drain(ctx, 12)
		t.Say("%d of %d: %d orders dropped", i+1, t.Tries, n.n)
	}
	grew, medians := steady(samples.end())
	if grew != "" {
		n.wrong.add(Wrong, "%s", grew)
	}
	t.result.note("medians of the last third and the one before: %d and %d MiB, %d and %d file handles, %d and %d goroutines",
		medians[1].RSSKiB>>10, medians[0].RSSKiB>>10, medians[1].Handles, medians[0].Handles, medians[1].Goroutines, medians[0].Goroutines)
	n.Finish(ctx, 5*time.Minute)
	return nil
}

// trouble causes the fault of try i.
func (t *modeRun) trouble(ctx context.Context, i int, d *Daemon) error {
	n := t.trial
	switch i % 5 {
	case 0:
		if err := os.WriteFile(n.path("sizewright.toml"), []byte("[print]\npip = \n"), 0o644); err != nil {
			return err
		}
		d.Hangup()
		asleep(ctx, 300*time.Millisecond)
		return n.Configure(Settings{})
	case 1:
		if err := n.Configure(Settings{Work: "between = \"00:00-00:00\""}); err != nil {
			return err
		}
		d.Hangup()
		asleep(ctx, 300*time.Millisecond)
		defer d.Hangup()
		return n.Configure(Settings{})
	case 2:
		return n.deny(ctx, []string{"held", "outbox/" + folders[i%len(folders)]})
	case 3:
		return n.renameFolder(ctx)
	}
	n.MoveFolderIn(2)
	return nil
}

// renameFolder moves in a drop folder and renames it at once.
func (n *Trial) renameFolder(ctx context.Context) error {
	from := fmt.Sprintf("A6 lot%d", n.n)
	n.MoveFolderIn(3)
	to := from + " renamed"
	n.Ledger.Renamed(from, to)
	asleep(ctx, time.Duration(n.rand.Int64N(3e8)))
	return os.Rename(n.path("drop", from), n.path("drop", to))
}

// drain waits, for half a minute at most, until no more than that many files wait in the drop
// folders.
func (n *Trial) drain(ctx context.Context, most int) {
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end) && ctx.Err() == nil && n.lying() > most; {
		asleep(ctx, 100*time.Millisecond)
	}
}

// lying counts the files in the drop folders that may not stay.
func (n *Trial) lying() (count int) {
	all, _ := os.ReadDir(n.path("drop"))
	for _, f := range all {
		entries, _ := os.ReadDir(n.path("drop", f.Name()))
		count += len(entries)
	}
	for _, o := range n.Ledger.Orders() {
		if o.May == Left {
			count--
		}
	}
	return count - len(n.Ledger.Clutter())
}

// sampler samples a daemon at regular intervals.
type sampler struct {
	all  []Use
	stop chan struct{}
	over sync.WaitGroup
}

func (s *sampler) watch(n *Trial, d *Daemon) {
	s.stop = make(chan struct{})
	s.over.Go(func() {
		tick := time.NewTicker(sampleEvery)
		defer tick.Stop()
		for {
			select {
			case <-s.stop:
				return
			case <-tick.C:
				if u, err := d.Use(); err == nil {
					u.Goroutines = n.goroutines(d.PID())
					s.all = append(s.all, u)
				}
			}
		}
	})
}

func (s *sampler) end() []Use {
	if s.stop != nil {
		close(s.stop)
		s.over.Wait()
	}
	return s.all
}
