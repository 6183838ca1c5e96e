//go:build linux

package faults

import (
	"context"
	"time"

	"golang.org/x/sys/unix"
)

// handles are the numbers of file handles that daemons get. With the fewest a daemon may say
// that it cannot work, and end.
var handles = []int{8, 10, 12, 14, 16, 20, 28, 40}

// files starts daemons with too few file handles, then with enough. The last daemon gets
// more while it runs, if the test is run by root.
func files(ctx context.Context, t *modeRun) error {
	n, err := t.begin(0, Settings{})
	if err != nil {
		return err
	}
	ended, last := 0, (*Daemon)(nil)
	for i := range t.Tries {
		d := n.Start(handles[i%len(handles)])
		last = d
		n.Drop(t.share(i), Usual, nil)
		asleep(ctx, 2*time.Second)
		switch {
		case !d.Alive():
			d.meant = true
			ended++
		case i == t.Tries-1:
		case i%3 == 2:
			d.Kill()
		default:
			d.Stop()
		}
	}
	t.result.note("%d would not start so", ended)
	enough := unix.Rlimit{Cur: 1024, Max: 1024}
	if !last.Alive() || unix.Prlimit(last.PID(), unix.RLIMIT_NOFILE, &enough, nil) != nil {
		last.Stop()
		n.Start(0)
	}
	n.Finish(ctx, 3*time.Minute)
	t.met("too many open files")
	return nil
}
