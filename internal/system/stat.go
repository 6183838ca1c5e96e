package system

import (
	"io/fs"
	"syscall"
	"time"
)

// Changed is when a file or what is kept of it last changed, by the file system's own
// clock (st_ctime of stat(2)). It is zero for an info that is not a file's.
func Changed(info fs.FileInfo) time.Time {
	st, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return time.Time{}
	}
	at := changed(st)
	return time.Unix(at.Unix())
}
