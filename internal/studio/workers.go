package studio

import (
	"encoding/json"
	"errors"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"golang.org/x/sys/unix"
)

// Workers gives the processes at work here and those that died at it and have
// not been seen to, sorted by ID. It changes nothing and needs no lock.
func (s *Studio) Workers() ([]Worker, error) {
	ids, err := s.workerIDs()
	if err != nil {
		return nil, err
	}
	var all []Worker
	for _, id := range ids {
		says, there := s.readWorker(id)
		alive, err := s.alive(id)
		if err != nil {
			return nil, err
		}
		if !there && !alive {
			continue // it ended since, or began and was killed at once
		}
		all = append(all, Worker{ID: id, PID: says.PID, Host: says.Host, Started: says.Started,
			Shared: says.Shared, Alive: alive, Progress: says.Progress})
	}
	return all, nil
}

// workerIDs is every ID for which there is a file of either kind.
func (s *Studio) workerIDs() ([]string, error) {
	names, err := s.tree.list(workersDir)
	if err != nil {
		return nil, err
	}
	ids := map[string]bool{}
	for _, name := range names {
		for _, suffix := range []string{workerSuffix, guardSuffix} {
			if id, ok := strings.CutSuffix(name, suffix); ok {
				ids[id] = true
			}
		}
	}
	return slices.Sorted(maps.Keys(ids)), nil
}

// readWorker reads a worker's file. One that cannot be understood is there all
// the same, and tells nothing.
func (s *Studio) readWorker(id string) (says register, there bool) {
	data, err := s.tree.read(workerFile(id, workerSuffix))
	if err != nil {
		return register{}, !errors.Is(err, fs.ErrNotExist)
	}
	if json.Unmarshal(data, &says) != nil {
		return register{}, true
	}
	return says, true
}

// alive tells what one look can tell, see Worker.Alive.
func (s *Studio) alive(id string) (bool, error) {
	held, err := s.guarded(id)
	if err != nil || held {
		return held, err
	}
	says, there := s.readWorker(id)
	return there && !s.sameMachine(says), nil
}

func (s *Studio) sameMachine(says register) bool {
	return says.Machine == "" && says.PID == 0 || s.machine != "" && says.Machine == s.machine
}

// guarded tells whether somebody holds a worker's lock.
func (s *Studio) guarded(id string) (bool, error) {
	if s.deafToLocks {
		return false, nil
	}
	f, err := s.tree.lockFile(workerFile(id, guardSuffix), 0, unix.LOCK_SH)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	if f == nil {
		return true, nil
	}
	return false, f.Close()
}

// sweepWorkers removes the files of workers that are dead and have no claim
// left. A worker just starting holds its guard by the time anybody can take
// it for dead, and one that was only asleep enrols again with its next beat.
func (s *Studio) sweepWorkers(dead func(id string) bool) error {
	ids, err := s.workerIDs()
	if err != nil {
		return err
	}
	claims, err := s.tree.list(claimsDir)
	if err != nil {
		return err
	}
	var faults []error
	for _, id := range ids {
		if id != s.self.Load().id && !ownsAny(id, claims) && dead(id) {
			faults = append(faults, s.forgetWorker(id))
		}
	}
	return errors.Join(faults...)
}

func (s *Studio) forgetWorker(id string) error {
	f, err := s.tree.lockFile(workerFile(id, guardSuffix), 0, unix.LOCK_EX)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return s.tree.discard(workerFile(id, workerSuffix))
	case err != nil || f == nil:
		return err // nil: it lives after all
	}
	defer f.Close()
	return errors.Join(s.tree.discard(workerFile(id, workerSuffix)), s.tree.discard(workerFile(id, guardSuffix)))
}
