package studio

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"golang.org/x/sys/unix"

	"sizewright/internal/system"
)

// Process is the one that is at work in the studio.
type Process struct {
	PID     int    // 0 if not known
	Host    string // its machine; "" if not known
	Started time.Time
	Status  json.RawMessage // what it last told Tell, nil if nothing
}

// presence is .sizewright/status.json, in which the process at work says what it does.
type presence struct {
	PID     int             `json:"pid"`
	Host    string          `json:"host"`
	Machine string          `json:"machine,omitempty"` // of this boot: two processes with the same one see each other's locks
	Started time.Time       `json:"started"`
	Status  json.RawMessage `json:"doing,omitempty"`
}

// Tell writes down what this process does, for AtWork to give to whoever asks: doing
// becomes JSON, and nil is nothing. It is not synced: a power cut may take it. That the
// process lives, its lock shows, and not how often it calls this.
func (s *Studio) Tell(doing any) error {
	s.telling.Lock()
	defer s.telling.Unlock()
	if !s.locked.Load() {
		return errNotLocked(s.dir)
	}
	s.says.Status = nil
	data, err := json.Marshal(doing)
	if err == nil && doing != nil {
		s.says.Status = data
	}
	if err == nil {
		data, err = json.Marshal(s.says)
	}
	if err != nil {
		return fault(statusName, "cannot be written", err)
	}
	return s.tree.replaceLoosely(statusName, tempName(), append(data, '\n'))
}

// AtWork gives the process that is at work here, nil for nobody. It changes nothing,
// and needs no lock and no leave to write.
//
// A process is at work as long as it holds the lock. One of another machine is also
// taken for alive while its file is there, for not every network share passes locks on.
func (s *Studio) AtWork() (*Process, error) {
	held, err := s.openLock(unix.O_RDONLY)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer held.Close()
	how := unix.LOCK_SH
	if s.isDir(earlierWorkers) {
		how = unix.LOCK_EX // one of an earlier version may be at work that shares the lock
	}
	locked, err := isLocked(held, how)
	if err != nil {
		return nil, err
	}
	var p presence
	data, err := s.tree.read(statusName)
	known := err == nil && json.Unmarshal(data, &p) == nil
	pid := holder(held)
	switch {
	case locked && known && p.PID == pid:
	case locked: // by one that has not come to say so yet, or of an earlier version
		p = presence{PID: pid}
		if info, err := held.Stat(); err == nil {
			p.Started = info.ModTime() // it wrote its pid then
		}
	case !known || p.Machine == "" || p.Machine == system.BootID():
		return nil, nil
	}
	return &Process{p.PID, p.Host, p.Started, p.Status}, nil
}

// isLocked tells whether a process holds the lock in a way that keeps others from
// having it so. It takes and leaves it meanwhile, which Lock allows for.
func isLocked(f *os.File, how int) (bool, error) {
	err := again(func() error { return unix.Flock(int(f.Fd()), how|unix.LOCK_NB) })
	if errors.Is(err, unix.EWOULDBLOCK) {
		return true, nil
	}
	if err != nil {
		return false, fault(lockName, "cannot be asked", err)
	}
	return false, again(func() error { return unix.Flock(int(f.Fd()), unix.LOCK_UN) })
}

// thisProcess is what this process says of itself.
func thisProcess() presence {
	host, err := os.Hostname()
	if err != nil {
		host = "unknown"
	}
	return presence{PID: os.Getpid(), Host: host, Machine: system.BootID(), Started: time.Now().Round(0)}
}

func errNotLocked(dir string) error {
	return fmt.Errorf("%s: the studio must be locked before photographs are taken from it", show(dir))
}
