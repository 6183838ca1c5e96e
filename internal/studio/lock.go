package studio

import (
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"

	"golang.org/x/sys/unix"
)

// Lock makes this process the only one at work in the studio, until unlock or
// its end, however that comes. Where another is, alone or sharing, it fails
// with ErrLocked and says which.
//
// The lock is flock(2) on .sizewright/lock, which the system itself lets go of
// when its holder dies; so the file stays, and a pid in it means nothing
// unless the file is locked.
func (s *Studio) Lock() (unlock func(), err error) { return s.takeUp(false) }

// Share makes this process one of several at work in the studio, until unlock
// or its end. It fails with ErrLocked where one works that has the studio to
// itself. Each of those sharing calls Beat and, every so often, TakeOver.
func (s *Studio) Share() (unlock func(), err error) { return s.takeUp(true) }

func (s *Studio) takeUp(shared bool) (unlock func(), err error) {
	how := unix.LOCK_EX
	if shared {
		how = unix.LOCK_SH
	}
	f, err := s.openLock()
	if err != nil {
		return nil, err
	}
	err = again(func() error { return unix.Flock(int(f.Fd()), how|unix.LOCK_NB) })
	if err != nil {
		defer f.Close()
		if errors.Is(err, unix.EWOULDBLOCK) {
			return nil, s.errLocked(f, shared)
		}
		return nil, fault(lockName, "cannot be locked", err)
	}
	if err := writePID(f, shared); err != nil {
		f.Close()
		return nil, fault(lockName, "cannot be written", err)
	}
	if err := s.enroll(shared); err != nil {
		s.leaveWork()
		f.Close()
		return nil, err
	}
	s.shared.Store(shared)
	s.locked.Store(true)
	return func() {
		s.locked.Store(false)
		s.leaveWork()
		f.Close()
	}, nil
}

func (s *Studio) openLock() (f *os.File, err error) {
	err = s.tree.in(lockName, func(dir *os.File, name string) error {
		f, err = openAt(dir, name, unix.O_RDWR|unix.O_CREAT, fileMode)
		return err
	})
	if err != nil {
		return nil, fault(lockName, "cannot open the lock", err)
	}
	return f, nil
}

// writePID leaves word of who has the studio alone; of those who share it,
// their own files tell.
func writePID(f *os.File, shared bool) error {
	if err := f.Truncate(0); err != nil || shared {
		return err
	}
	_, err := f.WriteAt([]byte(strconv.Itoa(os.Getpid())+"\n"), 0)
	return err
}

func (s *Studio) errLocked(f *os.File, share bool) error {
	const atWork = "sizewright is already at work here"
	sharing := s.sharing()
	switch {
	case share:
		return fmt.Errorf("%s: %w: %s alone (process %s); stop that one, or start it again as one that shares the studio", show(s.dir), ErrLocked, atWork, holder(f))
	case len(sharing) > 0:
		return fmt.Errorf("%s: %w: %s, sharing the studio (process %s); stop that first, or share the studio too", show(s.dir), ErrLocked, atWork, strings.Join(sharing, ", process "))
	}
	return fmt.Errorf("%s: %w: %s (process %s); stop that one first", show(s.dir), ErrLocked, atWork, holder(f))
}

// sharing names the processes that share the studio, for people.
func (s *Studio) sharing() (who []string) {
	workers, _ := s.Workers() // the sentence can do without
	for _, w := range workers {
		if w.Alive && w.Shared {
			name := strconv.Itoa(w.PID)
			if w.Host != s.self.Load().says.Host {
				name += " on " + show(w.Host)
			}
			who = append(who, name)
		}
	}
	return who
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
