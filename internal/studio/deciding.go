package studio

import (
	"time"

	"golang.org/x/sys/unix"
)

// patience is how long to wait for another process that is deciding.
const patience = 5 * time.Second

// decideAlone keeps others, in this process and in those that share the studio,
// from finding the same names free until done.
//
// It is a courtesy: what keeps files from being lost is that no move replaces
// anything. Where the lock cannot be had in time (its holder may be suspended)
// or is not passed between machines, two prints can decide on one name, and
// the later one is renamed and says so in Outcome.Renamed.
func (s *Studio) decideAlone() (done func()) {
	s.deciding.Lock()
	if !s.shared.Load() {
		return s.deciding.Unlock
	}
	for waited := time.Duration(0); ; waited += 5 * time.Millisecond {
		f, err := s.tree.lockFile(decidingName, unix.O_CREAT, unix.LOCK_EX)
		if f != nil {
			return func() {
				f.Close()
				s.deciding.Unlock()
			}
		}
		if err != nil || waited >= s.patience {
			return s.deciding.Unlock
		}
		time.Sleep(5 * time.Millisecond)
	}
}
