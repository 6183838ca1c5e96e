package capability

import (
	"fmt"
	"syscall"
	"unsafe"

	"golang.org/x/sys/unix"
)

// ClearInheritable clears the ambient and inheritable capabilities of the calling thread; the
// thread keeps its permitted and effective ones. A process started from this thread
// then inherits none. The caller must lock the goroutine to its thread before this call
// and until the process has been started. The thread can be used again afterwards,
// because nothing in this program needs the cleared sets.
//
// The bounding set is left alone: lowering it takes CAP_SETPCAP, and it grants nothing
// under no_new_privs, which the service sets.
func ClearInheritable() error {
	err := unix.Prctl(unix.PR_CAP_AMBIENT, unix.PR_CAP_AMBIENT_CLEAR_ALL, 0, 0, 0)
	if err != nil && err != unix.EINVAL { // EINVAL: this kernel has no ambient set
		return fmt.Errorf("a process to be started cannot be kept from inheriting capabilities: %w", err)
	}
	head := unix.CapUserHeader{Version: unix.LINUX_CAPABILITY_VERSION_3}
	var sets [2]unix.CapUserData
	if err := unix.Capget(&head, &sets[0]); err != nil {
		return fmt.Errorf("capget: %w", err)
	}
	if sets[0].Inheritable|sets[1].Inheritable == 0 {
		return nil
	}
	sets[0].Inheritable, sets[1].Inheritable = 0, 0
	// A system call filter may refuse this. An inheritable capability gives a program
	// nothing unless its file asks for it.
	if err := unix.Capset(&head, &sets[0]); err != nil && err != unix.EPERM {
		return fmt.Errorf("capset: %w", err)
	}
	return nil
}

// DropAll drops every capability of this process for good: from all sets, including
// the bounding set where that is allowed. It also sets no_new_privs, so that no program
// it starts can have more. It is for a process that handles untrusted input, even one
// started by root. In a program built with cgo it changes nothing and returns
// ErrThreads.
func DropAll() error {
	if err := all(unix.SYS_PRCTL, unix.PR_SET_NO_NEW_PRIVS, 1); err != nil {
		return err
	}
	for c := uintptr(0); c <= unix.CAP_LAST_CAP; c++ {
		if all(unix.SYS_PRCTL, unix.PR_CAPBSET_DROP, c) != nil {
			break // no CAP_SETPCAP: none can be dropped
		}
	}
	head := &unix.CapUserHeader{Version: unix.LINUX_CAPABILITY_VERSION_3}
	none := &[2]unix.CapUserData{} // this also empties the ambient set
	return all(unix.SYS_CAPSET, uintptr(unsafe.Pointer(head)), uintptr(unsafe.Pointer(none)))
}

// all makes a system call on every thread.
//
//go:uintptrescapes
func all(trap, a1, a2 uintptr) error {
	_, _, err := syscall.AllThreadsSyscall(trap, a1, a2, 0)
	switch err {
	case 0:
		return nil
	case syscall.ENOTSUP:
		return ErrThreads
	}
	return err
}
