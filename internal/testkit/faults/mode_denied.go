//go:build linux

package faults

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"time"
)

// nobody is the user ID of a user without rights, by Debian's base-passwd.
const nobody = 65534

// denied removes permissions from the studio's directories while a daemon works, and
// restores them. In the last try the daemon must finish by itself.
func denied(ctx context.Context, t *modeRun) error {
	uid := 0
	if os.Geteuid() == 0 {
		uid = nobody // root may do everything
	}
	n, err := t.begin(uid, Settings{})
	if err != nil {
		return err
	}
	for i := range t.Tries {
		n.Drop(t.share(i), Usual, nil)
		n.copying.Wait()
		d := n.Start(0)
		if i%2 == 1 {
			n.aim(ctx, d, []Stage{Printing, Saving, Moving}[i/2%3], aimPatience)
		} else {
			d.Serving(ctx, aimPatience)
		}
		if err := n.deny(ctx, deniable(i)); err != nil {
			return err
		}
		t.endTry(ctx, d, i)
	}
	n.Finish(ctx, 3*time.Minute)
	t.met("permission denied")
	return nil
}

// deniable returns the directories whose permissions are removed in try i.
func deniable(i int) []string {
	var each []string
	for _, top := range []string{"outbox", "originals", "held", "drop"} {
		var below []string
		for _, f := range folders {
			below = append(below, top+"/"+f)
		}
		each = append(each, top, below[i%len(below)])
	}
	each = append(each, ".sizewright/claims", "outbox/morning")
	return []string{each[i%len(each)], each[(i*3+1)%len(each)]}
}

// deny removes permissions for two seconds.
func (n *Trial) deny(ctx context.Context, dirs []string) error {
	was := map[string]fs.FileMode{}
	for i, dir := range dirs {
		path := n.path(dir)
		info, err := os.Lstat(path)
		if err != nil || was[path] != 0 {
			continue // does not exist yet
		}
		was[path] = info.Mode().Perm()
		if err := os.Chmod(path, []fs.FileMode{0o500, 0}[(i+n.n)%2]); err != nil {
			return err
		}
	}
	asleep(ctx, 2*time.Second)
	for path, mode := range was {
		if err := os.Chmod(path, mode); err != nil {
			return fmt.Errorf("giving permission back: %w", err)
		}
	}
	return nil
}
