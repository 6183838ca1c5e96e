//go:build linux

package faults

import (
	"context"
	"os"
	"path/filepath"
	"time"

	"golang.org/x/sys/unix"
)

// full fills the disk before a daemon starts or while it prints, completely or nearly, and
// makes room again. Some daemons are killed meanwhile. In the last try the daemon must
// finish by itself.
func full(ctx context.Context, t *modeRun) error {
	disk := filepath.Join(t.Dir, "night")
	if err := os.Mkdir(disk, 0o755); err != nil {
		return err
	}
	if err := unix.Mount("none", disk, "tmpfs", 0, "size=512m"); err != nil {
		t.result.Skipped = "a disk to fill can be mounted by root alone"
		return nil
	}
	defer unix.Unmount(disk, unix.MNT_DETACH)
	n, err := t.begin(0, Settings{})
	if err != nil {
		return err
	}
	for i := range t.Tries {
		n.Drop(t.share(i), Usual, nil)
		n.copying.Wait() // a copy that does not fit on the disk is not an order
		t.fill(ctx, i)
	}
	n.Finish(ctx, 3*time.Minute)
	t.met("no space left on device")
	t.met("waits for room")
	// The disk is removed with the trial, so it is judged here.
	t.result.Found = n.Judge()
	for _, order := range n.Ledger.Orders() {
		t.result.Orders += order.Copies
	}
	t.trial = nil
	return nil
}

// fill is one try.
func (t *modeRun) fill(ctx context.Context, i int) {
	n := t.trial
	left := []uint64{0, 4 << 10, 64 << 10, 512 << 10, 4 << 20, 33 << 20}[n.rand.IntN(6)]
	var d *Daemon
	if i%2 == 0 && i < t.Tries-1 {
		n.ballast(left)
		d = n.Start(0)
	} else {
		d = n.Start(0)
		n.aim(ctx, d, []Stage{Claiming, Printing, Saving, Moving}[i/2%4], aimPatience)
		n.ballast(left)
	}
	asleep(ctx, 2*time.Second)
	t.mayRefuse(d)
	if i%3 == 2 {
		d.Kill()
		d = n.Start(0) // it repairs what it can on a full disk
		asleep(ctx, time.Second)
		t.mayRefuse(d)
	}
	os.Remove(n.ballastPath())
	switch {
	case i == t.Tries-1: // the daemon must make what waits without help
	case i%3 == 1:
		d.Kill()
	default:
		asleep(ctx, time.Second)
		d.Stop()
	}
}

// mayRefuse accepts that a daemon does not start on a disk without room for its own notes, if
// it says so.
func (t *modeRun) mayRefuse(d *Daemon) {
	if !d.Alive() && !d.Said(`"msg":"serving"`) && d.Said("no space left on device") {
		d.meant = true
	}
}

func (n *Trial) ballastPath() string { return filepath.Join(n.Desk(), "ballast") }

// ballast fills the disk except for that many bytes.
func (n *Trial) ballast(left uint64) {
	f, err := os.Create(n.ballastPath())
	if err != nil {
		return
	}
	defer f.Close()
	for range 3 { // other programs use room meanwhile
		var st unix.Statfs_t
		if unix.Fstatfs(int(f.Fd()), &st) != nil {
			return
		}
		info, err := f.Stat()
		free := st.Bavail * uint64(st.Bsize)
		if err != nil || free <= left {
			return
		}
		unix.Fallocate(int(f.Fd()), 0, info.Size(), int64(free-left)) // as much as possible
	}
}
