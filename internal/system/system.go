package system

import (
	"io/fs"
	"syscall"
	"time"

	"golang.org/x/sys/unix"
)

// ChangeTime returns when a file's content or metadata last changed, by the file system's
// clock (st_ctime of stat(2)). It returns the zero time for an info that has no stat
// structure.
func ChangeTime(info fs.FileInfo) time.Time {
	st, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return time.Time{}
	}
	at := changed(st)
	return time.Unix(at.Unix())
}

// Monotonic returns the time since the system started (CLOCK_MONOTONIC), or 0 if it is not
// available.
func Monotonic() time.Duration {
	var now unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_MONOTONIC, &now); err != nil {
		return 0
	}
	return time.Duration(now.Nano())
}
