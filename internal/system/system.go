package system

import (
	"errors"
	"io"
	"io/fs"
	"os"
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

// unnamedFile creates an empty file that has lost its name again.
func unnamedFile(dir string) (*os.File, error) {
	f, err := os.CreateTemp(dir, "sizewright-*")
	if err != nil {
		return nil, err
	}
	if err := os.Remove(f.Name()); err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

// filled makes an empty file so many bytes long: with allocate, or where the file system
// cannot do that, with zeros.
func filled(f *os.File, bytes int64, allocate func() error) (*os.File, error) {
	err := allocate()
	for err == unix.EINTR {
		err = allocate()
	}
	if errors.Is(err, unix.ENOTSUP) || errors.Is(err, unix.ENOSYS) {
		_, err = io.CopyN(f, zeros{}, bytes)
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

type zeros struct{}

func (zeros) Read(b []byte) (int, error) { clear(b); return len(b), nil }
