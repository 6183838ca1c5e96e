package intake

import (
	"errors"

	"golang.org/x/sys/unix"
)

var (
	// errOpen: some process has the file open for writing.
	errOpen = errors.New("some program has it open for writing")
	// errBlind: the system will not say whether one has.
	errBlind = errors.New("who has a file open cannot be known")
)

// nobodyWrites asks the kernel for a read lease, which it grants only on a file
// that no process has open for writing, and gives it back at once. See fcntl(2).
//
// While it is held, some microseconds, a program that opens the file for
// writing waits for us, and the kernel tells us by SIGIO, which Go's runtime
// catches and drops.
//
// A lease is given to the file's owner, or with CAP_LEASE; EACCES is the
// answer to others, EINVAL that of file systems without leases.
func nobodyWrites(fd int) error {
	_, err := unix.FcntlInt(uintptr(fd), unix.F_SETLEASE, unix.F_RDLCK)
	switch err {
	case nil:
		_, err := unix.FcntlInt(uintptr(fd), unix.F_SETLEASE, unix.F_UNLCK)
		return err
	case unix.EAGAIN:
		return errOpen
	}
	return errors.Join(errBlind, err)
}
