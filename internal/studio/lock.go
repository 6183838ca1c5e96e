package studio

import (
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"

	"golang.org/x/sys/unix"
)

// Lock makes this process the one at work in the studio, until unlock or its
// end, however that comes. Where another is, it fails with ErrLocked and says
// which.
//
// The lock is flock(2) on .sizewright/lock, which the system itself lets go of
// when its holder dies; so the file stays, and a pid in it means nothing
// unless the file is locked.
func (s *Studio) Lock() (unlock func(), err error) {
	var f *os.File
	err = s.tree.in(lockName, func(dir *os.File, name string) error {
		f, err = openAt(dir, name, unix.O_RDWR|unix.O_CREAT, fileMode)
		return err
	})
	if err != nil {
		return nil, fault(lockName, "cannot open the lock", err)
	}
	err = again(func() error { return unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB) })
	if err != nil {
		defer f.Close()
		if errors.Is(err, unix.EWOULDBLOCK) {
			return nil, fmt.Errorf("%s: %w: sizewright is already at work here (process %s); stop that one first", show(s.dir), ErrLocked, holder(f))
		}
		return nil, fault(lockName, "cannot be locked", err)
	}
	if err := writePID(f); err != nil {
		f.Close()
		return nil, fault(lockName, "cannot be written", err)
	}
	s.locked.Store(true)
	return func() {
		s.locked.Store(false)
		f.Close()
	}, nil
}

func writePID(f *os.File) error {
	if err := f.Truncate(0); err != nil {
		return err
	}
	_, err := f.WriteAt([]byte(strconv.Itoa(os.Getpid())+"\n"), 0)
	return err
}

// holder reads the pid in the lock. It may not have been written yet.
func holder(f *os.File) string {
	var buf [20]byte
	n, _ := f.ReadAt(buf[:], 0) // EOF is expected
	pid := strings.TrimSpace(string(buf[:n]))
	if _, err := strconv.Atoi(pid); err != nil {
		return "not known"
	}
	return pid
}

func errNotLocked(dir string) error {
	return fmt.Errorf("%s: the studio must be locked before photographs are taken from it", show(dir))
}
