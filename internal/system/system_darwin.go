package system

import (
	"os"
	"time"

	"golang.org/x/sys/unix"
)

// Weaker are the guarantees that this system cannot give, a sentence each.
func Weaker() []string {
	return []string{
		"a decoded picture passes through an unlinked temporary file, so it may touch the disk",
	}
}

// RenameNoReplace renames from, in the directory open as fromDir, to to, in toDir.
// It fails with EEXIST when to is taken, and with ENOTSUP where the file system has
// no such call.
func RenameNoReplace(fromDir int, from string, toDir int, to string) error {
	return unix.RenameatxNp(fromDir, from, toDir, to, unix.RENAME_EXCL)
}

// MemoryFile is an empty file without a name in any folder. macOS has no file that
// lies in memory alone.
func MemoryFile(name string) (*os.File, error) {
	f, err := os.CreateTemp("", "sizewright-*")
	if err != nil {
		return nil, err
	}
	if err := os.Remove(f.Name()); err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

// Seal does nothing here: only the processes that share the file can change it.
func Seal(*os.File) error { return nil }

// MapWhole maps the first n bytes of a file for reading.
func MapWhole(f *os.File, n int) ([]byte, error) {
	b, err := unix.Mmap(int(f.Fd()), 0, n, unix.PROT_READ, unix.MAP_PRIVATE)
	return b, os.NewSyscallError("mmap", err)
}

// WriteBack leaves it all to the fsync that follows.
func WriteBack(*os.File) {}

// Free is how many bytes an ordinary user can still write to the file system that
// the open file lies on (f_bavail of statfs(2)). A quota is not looked at.
func Free(fd int) (uint64, error) {
	var st unix.Statfs_t
	if err := unix.Fstatfs(fd, &st); err != nil {
		return 0, err
	}
	return st.Bavail * uint64(st.Bsize), nil
}

// Monotonic is the clock that counts from the system's start.
func Monotonic() time.Duration {
	var now unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_MONOTONIC, &now); err != nil {
		return 0
	}
	return time.Duration(now.Nano())
}

// ReadAnew does nothing here: what was read may be kept.
func ReadAnew(*os.File) {}

// SetDefaultACL fails: macOS has ACLs of another kind, and a umask always counts.
func SetDefaultACL(int) error { return unix.ENOTSUP }
