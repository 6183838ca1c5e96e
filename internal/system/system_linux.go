package system

import (
	"encoding/binary"
	"fmt"
	"os"
	"strings"
	"syscall"

	"golang.org/x/sys/unix"
)

// WeakGuarantees lists the guarantees that this system cannot give, one sentence each.
func WeakGuarantees() []string { return nil }

// RenameNoReplace renames from, in the directory open as fromDir, to to, in toDir. It
// fails with EEXIST if to exists, and with ENOSYS, EINVAL or ENOTSUP if the kernel or
// the file system has no such call.
func RenameNoReplace(fromDir int, from string, toDir int, to string) error {
	return unix.Renameat2(fromDir, from, toDir, to, unix.RENAME_NOREPLACE)
}

// MemoryFile creates an empty file in memory without a name in any folder. The name is
// only for lists of open files.
func MemoryFile(name string) (*os.File, error) {
	fd, err := unix.MemfdCreate(name, unix.MFD_CLOEXEC|unix.MFD_ALLOW_SEALING)
	if err != nil {
		return nil, os.NewSyscallError("memfd_create", err)
	}
	return os.NewFile(uintptr(fd), name), nil
}

// Seal makes a [MemoryFile] immutable, so that nobody can truncate it while a reader
// has it mapped.
func Seal(f *os.File) error {
	const whole = unix.F_SEAL_SEAL | unix.F_SEAL_SHRINK | unix.F_SEAL_GROW | unix.F_SEAL_WRITE
	_, err := unix.FcntlInt(f.Fd(), unix.F_ADD_SEALS, whole)
	return os.NewSyscallError("fcntl", err)
}

// MapWhole maps the first n bytes of a file for reading, and loads all pages at once if
// asked to.
func MapWhole(f *os.File, n int, load bool) ([]byte, error) {
	flags := unix.MAP_PRIVATE
	if load {
		flags |= unix.MAP_POPULATE
	}
	b, err := unix.Mmap(int(f.Fd()), 0, n, unix.PROT_READ, flags)
	return b, os.NewSyscallError("mmap", err)
}

// RoomFile creates a file of so many bytes in a directory, readable and writable, that
// has no name there, and takes its room on the disk at once. It goes with the last process
// that has it open, whatever ends that.
func RoomFile(dir string, bytes int64) (*os.File, error) {
	fd, err := unix.Open(dir, unix.O_TMPFILE|unix.O_EXCL|unix.O_RDWR|unix.O_CLOEXEC, 0o600)
	f := os.NewFile(uintptr(fd), dir)
	if err != nil { // not every file system can, network shares among them
		f, err = unnamedFile(dir)
	}
	if err != nil {
		return nil, err
	}
	return filled(f, bytes, func() error { return unix.Fallocate(int(f.Fd()), 0, 0, bytes) })
}

// StartWriteback starts writing a file's pages to the disk and does not wait. It only
// shortens the fsync that follows, so it ignores errors.
func StartWriteback(f *os.File) {
	_ = unix.SyncFileRange(int(f.Fd()), 0, 0, unix.SYNC_FILE_RANGE_WRITE)
}

// FreeBytes returns how many bytes an ordinary user can still write to the file system of
// the open file (f_bavail of statvfs(3)). It ignores quotas.
func FreeBytes(fd int) (uint64, error) {
	var st unix.Statfs_t
	if err := unix.Fstatfs(fd, &st); err != nil {
		return 0, err
	}
	size := st.Frsize
	if size == 0 { // not set by the kernel
		size = st.Bsize
	}
	return st.Bavail * uint64(size), nil
}

// DropCache makes the next read of a file come from the disk, or from the server of a
// network share, where possible. Pages cached by an earlier read may hide what another
// machine has written since. It ignores errors.
func DropCache(f *os.File) {
	_ = unix.Fadvise(int(f.Fd()), 0, 0, unix.FADV_DONTNEED)
}

// SetDefaultACL gives an open directory the default ACL u::rwx,g::rwx,o::--- of acl(5).
// It replaces the umask of whoever creates a file there, and new subdirectories inherit
// it. It fails with ENOTSUP where the file system has no ACLs.
func SetDefaultACL(dir int) error {
	// The layout of the extended attribute: linux/posix_acl_xattr.h.
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

// OpenPath is the open flag for a directory whose entries are to be opened. It needs
// no read permission. Use it with O_DIRECTORY.
const OpenPath = unix.O_PATH

// SeekHole is the whence of lseek(2) that finds the next hole in a file.
const SeekHole = unix.SEEK_HOLE

// Program returns a path to the running program, valid even after its file has been
// replaced.
func Program() string { return "/proc/self/exe" }

// ProgramNeeds is the condition for [Program] to work. It completes "check that".
const ProgramNeeds = "/proc is mounted"

// KilledWithParent returns attributes with which a child is killed when the thread that
// started it ends: prctl(2), PR_SET_PDEATHSIG.
func KilledWithParent() *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
}

// ExitWithParent does nothing here: [KilledWithParent] is enough.
func ExitWithParent() {}

// RaiseOOMScore makes this process the first that the kernel ends when memory runs out,
// rather than the daemon. It ignores errors: without it the kernel chooses.
func RaiseOOMScore() {
	const first = "1000" // the highest: proc_pid_oom_score_adj(5)
	_ = os.WriteFile("/proc/self/oom_score_adj", []byte(first), 0)
}

// UsedDataBytes returns what this process already uses of RLIMIT_DATA, in bytes: little,
// except in a build with the race detector.
func UsedDataBytes() (int64, error) {
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

// BootID returns the ID that the kernel makes at each boot (random(4)), or "" if it
// is not available.
func BootID() string {
	id, err := os.ReadFile("/proc/sys/kernel/random/boot_id")
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(id))
}

func changed(st *syscall.Stat_t) syscall.Timespec { return st.Ctim }
