package capability

import (
	"fmt"
	"syscall"
	"unsafe"

	"golang.org/x/sys/unix"
)

// Withhold takes the ambient and the inheritable capabilities from the calling thread,
// which keeps what it has itself. What is started from this thread then inherits
// none. The goroutine must be locked to its thread from before this call until the
// process has been started; the thread may go on to be used, for nothing here needs
// what it lost.
//
// The bounding set stays: to lower it takes CAP_SETPCAP, and it gives nothing where
// no_new_privs holds, as in the service.
func Withhold() error {
	err := unix.Prctl(unix.PR_CAP_AMBIENT, unix.PR_CAP_AMBIENT_CLEAR_ALL, 0, 0, 0)
	if err != nil && err != unix.EINVAL { // which says that this kernel has none
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
	// A filter of system calls may refuse this. By itself an inheritable capability
	// gives a program nothing, unless its file asks for it.
	if err := unix.Capset(&head, &sets[0]); err != nil && err != unix.EPERM {
		return fmt.Errorf("capset: %w", err)
	}
	return nil
}

// Renounce takes every capability from this process, for good: of all sets, the bounding
// set included where that is allowed, and with no_new_privs, so that no program it
// might start has more. It is for a process that works on strangers' bytes, also where
// root started it. It fails with ErrThreads, and has then done nothing, in a program
// built with cgo.
func Renounce() error {
	if err := all(unix.SYS_PRCTL, unix.PR_SET_NO_NEW_PRIVS, 1); err != nil {
		return err
	}
	for c := uintptr(0); c <= unix.CAP_LAST_CAP; c++ {
		if all(unix.SYS_PRCTL, unix.PR_CAPBSET_DROP, c) != nil {
			break // without CAP_SETPCAP none of them may be dropped
		}
	}
	head := &unix.CapUserHeader{Version: unix.LINUX_CAPABILITY_VERSION_3}
	none := &[2]unix.CapUserData{} // which empties the ambient set with the inheritable
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
