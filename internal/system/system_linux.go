package system

import (
	"encoding/binary"
	"fmt"
	"os"
	"strings"
	"syscall"
	"time"

	"golang.org/x/sys/unix"
)

// Weaker are the guarantees that this system cannot give, a sentence each.
func Weaker() []string { return nil }

// RenameNoReplace renames from, in the directory open as fromDir, to to, in toDir.
// It fails with EEXIST when to is taken, and with ENOSYS, EINVAL or ENOTSUP where
// the kernel or the file system has no such call.
func RenameNoReplace(fromDir int, from string, toDir int, to string) error {
	return unix.Renameat2(fromDir, from, toDir, to, unix.RENAME_NOREPLACE)
}

// MemoryFile is an empty file that lies in memory and has no name in any folder.
// Name is for people who look at a list of open files.
func MemoryFile(name string) (*os.File, error) {
	fd, err := unix.MemfdCreate(name, unix.MFD_CLOEXEC|unix.MFD_ALLOW_SEALING)
	if err != nil {
		return nil, os.NewSyscallError("memfd_create", err)
	}
	return os.NewFile(uintptr(fd), name), nil
}

// Seal makes a [MemoryFile] one that nobody can change any more, so that it is never
// cut short under a reader who has it mapped.
func Seal(f *os.File) error {
	const whole = unix.F_SEAL_SEAL | unix.F_SEAL_SHRINK | unix.F_SEAL_GROW | unix.F_SEAL_WRITE
	_, err := unix.FcntlInt(f.Fd(), unix.F_ADD_SEALS, whole)
	return os.NewSyscallError("fcntl", err)
}

// MapWhole maps the first n bytes of a file for reading, every page at once.
func MapWhole(f *os.File, n int) ([]byte, error) {
	b, err := unix.Mmap(int(f.Fd()), 0, n, unix.PROT_READ, unix.MAP_PRIVATE|unix.MAP_POPULATE)
	return b, os.NewSyscallError("mmap", err)
}

// WriteBack begins to send a file's pages to the disk, and does not wait.
// It is a kindness to the fsync that follows: it may do nothing.
func WriteBack(f *os.File) {
	_ = unix.SyncFileRange(int(f.Fd()), 0, 0, unix.SYNC_FILE_RANGE_WRITE)
}

// Free is how many bytes an ordinary user can still write to the file system that
// the open file lies on (f_bavail of statvfs(3)). A quota is not looked at.
func Free(fd int) (uint64, error) {
	var st unix.Statfs_t
	if err := unix.Fstatfs(fd, &st); err != nil {
		return 0, err
	}
	size := st.Frsize
	if size == 0 { // kernels that do not tell mean Bsize
		size = st.Bsize
	}
	return st.Bavail * uint64(size), nil
}

// Monotonic is the clock that counts from the system's start.
func Monotonic() time.Duration {
	var now unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_MONOTONIC, &now); err != nil {
		return 0
	}
	return time.Duration(now.Nano())
}

// ReadAnew has what is read next of a file come from the disk, or from the server of a
// share, where it can: pages kept from an earlier reading may hide what another machine
// has written since.
func ReadAnew(f *os.File) {
	_ = unix.Fadvise(int(f.Fd()), 0, 0, unix.FADV_DONTNEED)
}

// SetDefaultACL gives an open directory the default ACL u::rwx,g::rwx,o::--- of
// acl(5): it stands in for the umask of whoever makes something there, and a directory
// made there has it too. It fails with ENOTSUP where the file system keeps none.
func SetDefaultACL(dir int) error {
	// As it lies in an extended attribute: linux/posix_acl_xattr.h.
	const (
		version                     = 2
		userObj, groupObj, otherObj = 0x01, 0x04, 0x20
		rwx, none                   = 7, 0
		noID                        = 0xffffffff
	)
	acl := binary.LittleEndian.AppendUint32(nil, version)
	for _, e := range [][2]uint16{{userObj, rwx}, {groupObj, rwx}, {otherObj, none}} {
		acl = binary.LittleEndian.AppendUint16(acl, e[0])
		acl = binary.LittleEndian.AppendUint16(acl, e[1])
		acl = binary.LittleEndian.AppendUint32(acl, noID)
	}
	return unix.Fsetxattr(dir, "system.posix_acl_default", acl, 0)
}

// OpenToReach opens a directory only to reach what lies in it: that needs no leave to
// read it. Use it with O_DIRECTORY.
const OpenToReach = unix.O_PATH

// SeekHole is the whence of lseek(2) that finds the next part which was never written.
const SeekHole = unix.SEEK_HOLE

// Program is this very program, also once its file has been replaced.
func Program() string { return "/proc/self/exe" }

// ProgramNeeds ends "check that": what must be so for [Program] to be found.
const ProgramNeeds = "/proc is mounted"

// DiesWithParent has a process that is started be killed when the thread that started
// it ends: prctl(2), PR_SET_PDEATHSIG.
func DiesWithParent() *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
}

// WatchParent has nothing left to do after [DiesWithParent].
func WatchParent() {}

// OfferMyself makes this process the one that the system ends when all memory runs
// out, and not the daemon with everybody's orders. It is a kindness: without it
// the system chooses.
func OfferMyself() {
	const first = "1000" // of all: proc_pid_oom_score_adj(5)
	_ = os.WriteFile("/proc/self/oom_score_adj", []byte(first), 0)
}

// DataBytes is what the program takes before it has begun, as RLIMIT_DATA counts it:
// little, but for one that looks for data races.
func DataBytes() (int64, error) {
	statm, err := os.ReadFile("/proc/self/statm") // proc_pid_statm(5)
	if err != nil {
		return 0, err
	}
	var size, resident, shared, text, lib, data int64
	if _, err := fmt.Sscan(string(statm), &size, &resident, &shared, &text, &lib, &data); err != nil {
		return 0, err
	}
	return data * int64(os.Getpagesize()), nil
}

// BootID is an ID that the kernel makes anew at each boot (random(4)), "" if it cannot
// be had.
func BootID() string {
	id, err := os.ReadFile("/proc/sys/kernel/random/boot_id")
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(id))
}

func changed(st *syscall.Stat_t) syscall.Timespec { return st.Ctim }
