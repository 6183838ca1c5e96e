package system

import (
	"os"
	"syscall"
	"time"

	"golang.org/x/sys/unix"
)

// Weaker are the guarantees that this system cannot give, a sentence each.
func Weaker() []string {
	return []string{
		"a decoded picture passes through an unlinked temporary file, so it may touch the disk",
		"whether a program still writes to a dropped file cannot be known, so every file rests for longer and is looked at twice before it is taken",
		"the memory of the process that decodes a picture has no limit that the system keeps, so a damaged picture may take much of it",
		"a picture is decoded by the program that lies at sizewright's path, so restart sizewright after replacing it",
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

// OpenToReach opens a directory to reach what lies in it. macOS wants leave to read it
// as well. Use it with O_DIRECTORY.
const OpenToReach = unix.O_RDONLY

// SeekHole is the whence of lseek(2) that finds the next part which was never written:
// SEEK_HOLE of sys/unistd.h.
const SeekHole = 3

// Program is the path of this program, whichever file lies there now.
func Program() string {
	p, err := os.Executable()
	if err != nil {
		return os.Args[0]
	}
	return p
}

// ProgramNeeds ends "check that": what must be so for [Program] to be found.
const ProgramNeeds = "sizewright's program is where it was started from"

// DiesWithParent asks for nothing: the process itself calls [WatchParent].
func DiesWithParent() *syscall.SysProcAttr { return &syscall.SysProcAttr{} }

// WatchParent ends this process when its parent ends: kqueue(2), EVFILT_PROC with
// NOTE_EXIT. Where that fails, the process goes on to its own end.
func WatchParent() {
	parent := os.Getppid()
	queue, err := unix.Kqueue()
	if err != nil {
		return
	}
	watch := unix.Kevent_t{Ident: uint64(parent), Filter: unix.EVFILT_PROC, Flags: unix.EV_ADD | unix.EV_ONESHOT, Fflags: unix.NOTE_EXIT}
	_, err = unix.Kevent(queue, []unix.Kevent_t{watch}, nil, nil)
	if err == unix.ESRCH || os.Getppid() != parent {
		os.Exit(1) // it has ended already
	}
	if err != nil {
		unix.Close(queue)
		return
	}
	go func() {
		for seen := make([]unix.Kevent_t, 1); ; {
			switch n, err := unix.Kevent(queue, nil, seen, nil); {
			case n > 0:
				os.Exit(1)
			case err != nil && err != unix.EINTR:
				return
			}
		}
	}()
}

// OfferMyself does nothing here: the system chooses whom it ends when memory runs out.
func OfferMyself() {}

// DataBytes is nothing: macOS does not count mapped memory in RLIMIT_DATA.
func DataBytes() (int64, error) { return 0, nil }

// BootID is an ID that the kernel makes anew at each boot, "" if it cannot be had.
func BootID() string {
	id, err := unix.Sysctl("kern.bootsessionuuid")
	if err != nil {
		return ""
	}
	return id
}

func changed(st *syscall.Stat_t) syscall.Timespec { return st.Ctimespec }
