//go:build linux

package faults

import (
	"cmp"
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"golang.org/x/sys/unix"
)

// gone moves directories out of the studio while a daemon works, and puts them back. It also
// deletes empty drop folders and makes them again. In the last try the daemon must finish by
// itself.
func gone(ctx context.Context, t *modeRun) error {
	n, err := t.begin(0, Settings{})
	if err != nil {
		return err
	}
	n.plain = true // a person who merges two outboxes resolves names that are the same
	tops := []string{"outbox", "originals", "held", "drop/A5", "outbox/A5"}
	for i := range t.Tries {
		d := n.Start(0)
		d.Serving(ctx, aimPatience)
		n.Drop(t.share(i)/2, Mix{Bad: 20}, nil)
		n.copying.Wait()
		if i%2 == 1 {
			n.aim(ctx, d, []Stage{Printing, Saving, Moving}[i/2%3], aimPatience)
		}
		if err := n.takeAway(ctx, tops[i%len(tops)]); err != nil {
			return err
		}
		if err := n.anew(ctx, "A6"); err != nil {
			return err
		}
		n.Drop(t.share(i)-t.share(i)/2, Mix{}, nil)
		n.copying.Wait()
		t.endTry(ctx, d, i)
	}
	n.Finish(ctx, 3*time.Minute)
	return nil
}

// takeAway moves a directory out of the studio for two seconds.
func (n *Trial) takeAway(ctx context.Context, rel string) error {
	away, back := filepath.Join(n.Desk(), "away"), n.path(rel)
	if err := os.Rename(back, away); err != nil {
		if os.IsNotExist(err) {
			return nil // does not exist yet
		}
		return err
	}
	asleep(ctx, 2*time.Second)
	err := unix.Renameat2(unix.AT_FDCWD, away, unix.AT_FDCWD, back, unix.RENAME_NOREPLACE)
	if err == unix.EEXIST {
		err = merge(away, back)
	}
	return err
}

// merge moves files into a directory that was made again meanwhile, as people do. A newer
// report stays.
func merge(from, to string) error {
	err := filepath.WalkDir(from, func(p string, e fs.DirEntry, err error) error {
		target := to + strings.TrimPrefix(p, from)
		if err != nil || e.IsDir() {
			return cmp.Or(err, os.MkdirAll(target, 0o755))
		}
		err = unix.Renameat2(unix.AT_FDCWD, p, unix.AT_FDCWD, target, unix.RENAME_NOREPLACE)
		if err == unix.EEXIST && strings.Contains(target, "/morning/") {
			return nil
		}
		if err != nil {
			return fmt.Errorf("putting %q back: %w", target, err)
		}
		return nil
	})
	return cmp.Or(err, os.RemoveAll(from))
}

// anew deletes a drop folder once it is empty, and makes it again.
func (n *Trial) anew(ctx context.Context, folder string) error {
	for range 100 {
		err := os.Remove(n.path("drop", folder)) // only if it is empty
		if err == nil || os.IsNotExist(err) {
			break
		}
		asleep(ctx, 50*time.Millisecond)
	}
	asleep(ctx, 300*time.Millisecond)
	return os.MkdirAll(n.path("drop", folder), 0o755)
}
