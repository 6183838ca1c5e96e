package studio

import (
	"errors"
	"os"
	"strconv"
	"strings"
	"time"

	"golang.org/x/sys/unix"

	"sizewright/internal/remedy"
)

// lockPatience is how long Lock waits for those who only ask whether the lock is held
// (see AtWork): they have it for microseconds.
const lockPatience = 200 * time.Millisecond

// Lock makes this process the only one at work in the studio, until unlock or
// its end, however that comes. Where another is, it fails with ErrLocked and says
// which.
//
// The lock is flock(2) on .sizewright/lock, which the system itself lets go of
// when its holder dies; so the file stays, and a pid in it means nothing
// unless the file is locked. Where a share passes no locks from one machine to
// another, a process on the other machine is not refused.
func (s *Studio) Lock() (unlock func(), err error) {
	f, err := s.openLock(unix.O_RDWR | unix.O_CREAT)
	if err != nil {
		return nil, err
	}
	if err := s.takeLock(f); err != nil {
		f.Close()
		return nil, err
	}
	s.locked.Store(true)
	s.says = thisProcess()
	if err := s.Tell(nil); err != nil {
		s.locked.Store(false)
		f.Close()
		return nil, err
	}
	return func() { s.unlock(f) }, nil
}

func (s *Studio) takeLock(f *os.File) error {
	for end := time.Now().Add(lockPatience); ; time.Sleep(5 * time.Millisecond) {
		err := again(func() error { return unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB) })
		switch {
		case err == nil:
			return writePID(f)
		case !errors.Is(err, unix.EWOULDBLOCK):
			return fault(lockName, "cannot be locked", err)
		case time.Now().After(end):
			return s.errLocked(f)
		}
	}
}

func (s *Studio) unlock(f *os.File) {
	s.telling.Lock()
	defer s.telling.Unlock()
	if s.locked.Swap(false) {
		s.tree.discard(statusName) // one that stays says nothing without the lock
	}
	f.Close()
}

func (s *Studio) openLock(flags int) (f *os.File, err error) {
	err = s.tree.in(lockName, func(dir *os.File, name string) error {
		f, err = openAt(dir, name, flags, fileMode)
		return err
	})
	if err != nil {
		return nil, fault(lockName, "cannot open the lock", err)
	}
	return f, nil
}

// writePID writes down which process has the studio.
func writePID(f *os.File) error {
	err := f.Truncate(0)
	if err == nil {
		_, err = f.WriteAt([]byte(strconv.Itoa(os.Getpid())+"\n"), 0)
	}
	if err != nil {
		return fault(lockName, "cannot be written", err)
	}
	return nil
}

func (s *Studio) errLocked(f *os.File) error {
	who := "not known"
	if pid := holder(f); pid != 0 {
		who = strconv.Itoa(pid)
	}
	return remedy.Errorf("stop that one first", "%s: %w: sizewright is already at work here (process %s)", show(s.dir), ErrLocked, who)
}

// holder reads the pid in the lock, 0 if it is not known: it may not have been
// written yet.
func holder(f *os.File) int {
	var buf [20]byte
	n, _ := f.ReadAt(buf[:], 0) // EOF is expected
	pid, _ := strconv.Atoi(strings.TrimSpace(string(buf[:n])))
	return max(pid, 0)
}
