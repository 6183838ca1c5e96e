package intake

import (
	"errors"

	"golang.org/x/sys/unix"
)

// nobodyWrites asks the kernel for a read lease, which it grants only on a file
// that no process has open for writing, and gives it back at once. See fcntl(2).
// Memory that was mapped from the file to be written keeps the file open, also
// when its descriptor has been closed.
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
