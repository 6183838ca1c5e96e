package system

import (
	"os"
	"syscall"

	"golang.org/x/sys/unix"
)

// WeakGuarantees lists the guarantees that this system cannot give, one sentence each.
func WeakGuarantees() []string {
	return []string{
		"a decoded picture passes through an unlinked temporary file, so it may touch the disk",
		"the system does not say whether a program still writes to a dropped file, so sizewright waits longer and reads every file twice before it takes it",
		"the system does not limit the memory of the process that decodes a picture, so a damaged picture may use much memory",
		"pictures are decoded by whatever program is at sizewright's path, so restart sizewright after replacing it",
	}
}

// RenameNoReplace renames from, in the directory open as fromDir, to to, in toDir. It
// fails with EEXIST if to exists, and with ENOTSUP if the file system has no such call.
func RenameNoReplace(fromDir int, from string, toDir int, to string) error {
	return unix.RenameatxNp(fromDir, from, toDir, to, unix.RENAME_EXCL)
}

// MemoryFile creates an empty file without a name in any folder. macOS has no file that
// is only in memory.
func MemoryFile(name string) (*os.File, error) { return unnamedFile("") }

// RoomFile creates a file of so many bytes in a directory, readable and writable, that has
// no name there, and takes its room on the disk at once.
func RoomFile(dir string, bytes int64) (*os.File, error) {
	f, err := unnamedFile(dir)
	if err != nil {
		return nil, err
	}
	return filled(f, bytes, func() error { return unix.ENOTSUP })
}

// Seal does nothing here: only the processes that share the file can change it.
func Seal(*os.File) error { return nil }

// MapWhole maps the first n bytes of a file for reading.
func MapWhole(f *os.File, n int, _ bool) ([]byte, error) {
	b, err := unix.Mmap(int(f.Fd()), 0, n, unix.PROT_READ, unix.MAP_PRIVATE)
	return b, os.NewSyscallError("mmap", err)
}

// StartWriteback does nothing here: the fsync that follows writes everything.
func StartWriteback(*os.File) {}

// FreeBytes returns how many bytes an ordinary user can still write to the file system of
// the open file (f_bavail of statfs(2)). It ignores quotas.
func FreeBytes(fd int) (uint64, error) {
	var st unix.Statfs_t
	if err := unix.Fstatfs(fd, &st); err != nil {
		return 0, err
	}
	return st.Bavail * uint64(st.Bsize), nil
}

// DropCache does nothing here: reads may return cached pages.
func DropCache(*os.File) {}

// SetDefaultACL fails: macOS has another kind of ACL, and always applies the umask.
func SetDefaultACL(int) error { return unix.ENOTSUP }

// OpenPath is the open flag for a directory whose entries are to be opened. macOS
// also needs read permission. Use it with O_DIRECTORY.
const OpenPath = unix.O_RDONLY

// SeekHole is the whence of lseek(2) that finds the next hole in a file: SEEK_HOLE of
// sys/unistd.h.
const SeekHole = 3

// Program returns the path of this program, whichever file is there now.
func Program() string {
	p, err := os.Executable()
	if err != nil {
		return os.Args[0]
	}
	return p
}

// ProgramNeeds is the condition for [Program] to work. It completes "check that".
const ProgramNeeds = "sizewright's program is where it was started from"

// KilledWithParent returns no attributes: the process itself calls [ExitWithParent].
func KilledWithParent() *syscall.SysProcAttr { return &syscall.SysProcAttr{} }

// ExitWithParent ends this process when its parent ends: kqueue(2), EVFILT_PROC with
// NOTE_EXIT. If that fails, the process runs to its own end.
func ExitWithParent() {
	parent := os.Getppid()
	queue, err := unix.Kqueue()
	if err != nil {
		return
	}
	watch := unix.Kevent_t{Ident: uint64(parent), Filter: unix.EVFILT_PROC, Flags: unix.EV_ADD | unix.EV_ONESHOT, Fflags: unix.NOTE_EXIT}
	_, err = unix.Kevent(queue, []unix.Kevent_t{watch}, nil, nil)
	if err == unix.ESRCH || os.Getppid() != parent {
		os.Exit(1) // the parent has ended already
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

// RaiseOOMScore does nothing here: macOS chooses itself which process to end when memory
// runs out.
func RaiseOOMScore() {}

// UsedDataBytes returns 0: macOS does not count mapped memory in RLIMIT_DATA.
func UsedDataBytes() (int64, error) { return 0, nil }

// BootID returns the ID that the kernel makes at each boot, or "" if it is not
// available.
func BootID() string {
	id, err := unix.Sysctl("kern.bootsessionuuid")
	if err != nil {
		return ""
	}
	return id
}

func changed(st *syscall.Stat_t) syscall.Timespec { return st.Ctimespec }
