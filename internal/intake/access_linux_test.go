package intake

import (
	"errors"
	"io/fs"
	"os"
	"strings"
	"testing"

	"golang.org/x/sys/unix"
)

// Whose the file is, and who opens it to whom by what command.
func TestWhatIsClosedIsToldWithTheCommandThatOpensIt(t *testing.T) {
	const owner, others = 4_000_001, 4_000_003 // without names
	drop := newDrop(t, "A2")
	if err := os.Chmod(drop, fs.ModeSetgid|0o770); err != nil {
		t.Fatal(err)
	}
	if err := os.Chown(drop, -1, os.Getgid()); err != nil {
		t.Fatal(err)
	}
	home := uint32(os.Getgid())
	for _, c := range []struct {
		gid, mode uint32
		says      string
	}{
		{others, unix.S_IFREG | 0o600, "run chgrp " + groupName(home) + " and chmod g+r on it"},
		{others, unix.S_IFREG | 0o640, "run chgrp " + groupName(home) + " on it"},
		{home, unix.S_IFREG | 0o600, "run chmod g+r on it"},
		{home, unix.S_IFDIR | 0o2700, "run chmod g+rwx on it"},
		{home, unix.S_IFDIR | 0o2750, "run chmod g+w on it"},
	} {
		err := mayNotRead(drop, unix.Stat_t{Uid: owner, Gid: c.gid, Mode: c.mode})
		if !errors.Is(err, fs.ErrPermission) || !strings.HasSuffix(err.Error(), "let user 4000001 or root "+c.says) {
			t.Errorf("group %d, mode %o: %v, want %s", c.gid, c.mode, err, c.says)
		}
	}
	// In one person's studio there is no group to open it to.
	if err := os.Chmod(drop, 0o755); err != nil {
		t.Fatal(err)
	}
	err := mayNotRead(drop, unix.Stat_t{Uid: owner, Gid: others, Mode: unix.S_IFREG | 0o600})
	if !strings.HasSuffix(err.Error(), "run chmod a+r on it") {
		t.Error(err)
	}
}
