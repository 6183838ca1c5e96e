package studio

import (
	"errors"
	"fmt"
	"io/fs"
	"strconv"
	"time"
)

// TakeOver recovers, as Recover does, the claims of workers that have died
// beside this one. Call it every so often, several times within a lease, while
// sharing the studio; alone, it finds nothing.
//
// A worker is dead when its lock is free and, unless it is of this machine,
// its file has not changed for lease. That is measured by now of one call
// against now of another, so no two clocks are compared; give it time.Now(),
// whose monotonic reading also leaves out the time this machine slept. The time
// between two calls counts for at most half a lease: after a gap in our own
// looking we look again.
//
// # Why it does no harm to be wrong
//
// A worker can be slow, suspended or cut off and not dead, and file systems
// there are that pass no lock from one machine to another. So nothing hangs on
// the judgement, and no lock is relied on. Let the sleeper be the worker that
// was taken for dead, the survivor the one that takes over.
//
//  1. The survivor first renames the claim's directory, to a name of its own
//     that has never been in use. Of several survivors one succeeds, and the
//     others find nothing of the old name.
//  2. The sleeper follows every path down from the studio's root for every
//     single change. From the rename on it meets a directory that is not
//     there, but for one change: the one it had begun, its directories open,
//     when it fell asleep. Claims belong to one goroutine, so it is one.
//  3. The survivor then removes what half-written journals are there, and only
//     then looks whether there is a journal.
//
// What can the one change be, coming at any later moment?
//
//   - The decision, publish.json.<random>.tmp to publish.json. Before 3 the
//     survivor sees it and carries it out; after 3 there is nothing to rename.
//     The survivor's own half-written journals have other names.
//   - A file made or begun in the claim: it is in the way of removing the
//     directory, which is tried once more, and then at the next look.
//   - The photograph's move into the claim. The survivor removes original/
//     before order.json; with the photograph in it that fails, and the next look
//     gives it back. With original/ removed the move fails.
//   - A move of a decided file, or of the original back to drop/: the same that
//     the survivor makes, so whoever is second finds the source gone. Neither
//     replaces anything. Had the survivor chosen another target, that of the
//     sleeper being taken, and its owner took that file away just then, the file
//     gets the name it was first to have.
//   - Removing order.json or publish.json. The sleeper does so when all files
//     have left the claim, and then the survivor has nothing more to move.
//     That is why a decision is never taken back.
//   - Removing the claim's directory by its old name: fails.
//
// Removing publish.json is what ends a decided claim and entitles to report it.
// It succeeds once, for the sleeper or for the survivor; the other is told
// ErrTakenOver. A survivor that falls asleep in its turn is a sleeper to the
// next one, and names never come twice, so the argument holds again.
//
// It does take for granted that a rename is one step to all machines, and that
// a directory listed is seen as it is (close-to-open consistency, RFC 8881
// section 10.3.1).
func (s *Studio) TakeOver(lease time.Duration, now time.Time) ([]Recovered, error) {
	if !s.locked.Load() {
		return nil, errNotLocked(s.dir)
	}
	if !s.shared.Load() {
		return nil, nil
	}
	s.watch.Lock()
	defer s.watch.Unlock()
	judged := map[string]verdict{}
	ids, err := s.workerIDs()
	faults := []error{err, s.sweepTurns()}
	for _, id := range ids { // also those that hold no claim
		judged[id] = s.judge(id, lease, now)
	}
	all, err := s.seeTo(func(owner string) (bool, error) {
		if _, ok := judged[owner]; !ok {
			judged[owner] = s.judge(owner, lease, now)
		}
		return judged[owner].dead, judged[owner].err
	})
	s.watch.forgetBut(judged)
	return all, errors.Join(append(faults, err)...)
}

type verdict struct {
	dead bool
	err  error
}

// judge tells whether a worker is dead, from this look and those before.
func (s *Studio) judge(id string, lease time.Duration, now time.Time) verdict {
	if id == "" || id == s.self.Load().id {
		return verdict{dead: id == ""}
	}
	still := s.watch.stillFor(id, s.beatOf(id), lease, now)
	held, err := s.guarded(id)
	if held || err != nil {
		return verdict{err: err}
	}
	says, there := s.readWorker(id)
	return verdict{dead: still >= lease || there && s.sameMachine(says) && !s.deafToLocks}
}

// beatOf is something that changes with every beat.
func (s *Studio) beatOf(id string) string {
	rel := workerFile(id, workerSuffix)
	st, err := s.tree.lstat(rel)
	if err != nil {
		return ""
	}
	data, _ := s.tree.read(rel) // mtimes alone may be coarse
	return strconv.FormatInt(modTime(st).UnixNano(), 10) + string(data)
}

// seeTo recovers the claims of workers that are dead and those of this worker
// that need it. The caller holds watch.
func (s *Studio) seeTo(dead func(owner string) (bool, error)) ([]Recovered, error) {
	names, err := s.tree.list(claimsDir)
	faults := []error{err}
	var all []Recovered
	for _, name := range names {
		id, stopped, err := s.entitled(name, dead)
		if id == "" {
			faults = append(faults, err)
			continue
		}
		r, err := s.recoverClaim(id, stopped)
		if errors.Is(err, ErrTakenOver) || err != nil && s.lost(id) && r.Kind == "" {
			delete(s.watch.taken, id)
			continue // it is another's, who reports it
		}
		faults = append(faults, err)
		if r.Kind != "" {
			all = append(all, r)
		}
		if r.Kind == "" || r.Untidy != nil { // again at the next look
			s.watch.keep(id, stopped)
		} else {
			delete(s.watch.taken, id)
		}
	}
	faults = append(faults, s.sweepWorkers(func(id string) bool {
		is, err := dead(id)
		return is && err == nil
	}))
	return all, errors.Join(faults...)
}

// entitled makes a claim this worker's to recover, and gives its name from then
// on, or "" if it is not to be recovered now.
func (s *Studio) entitled(name string, dead func(owner string) (bool, error)) (id, stopped string, err error) {
	const lastStopped = "when sizewright last stopped"
	self := s.self.Load().id
	owner, known := ownerOf(name)
	switch {
	case known && owner == self && s.shared.Load(): // in hand, but for those taken over
		if stopped, taken := s.watch.taken[name]; taken {
			return name, stopped, nil
		}
		return "", "", nil
	case !known || owner == self:
		if s.shared.Load() {
			return "", "", nil // for whoever has the studio to itself
		}
		return name, lastStopped, nil
	}
	if is, err := dead(owner); err != nil || !is {
		return "", "", err
	}
	stopped = lastStopped
	if s.shared.Load() && owner != "" {
		stopped = fmt.Sprintf("when another sizewright stopped (worker %s)", owner)
	}
	id, err = s.takeClaim(name)
	if id != "" {
		s.watch.keep(id, stopped)
	}
	return id, stopped, err
}

// takeClaim is steps 1 and 3 of TakeOver.
func (s *Studio) takeClaim(name string) (id string, err error) {
	id = takenName(name, s.self.Load().id)
	if err := s.tree.rename(claimPath(name), claimPath(id)); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return "", nil // somebody else was first, or it has ended
		}
		return "", err
	}
	if err := s.clearTemps(claimPath(id)); err != nil {
		s.watch.keep(id, "when another sizewright stopped") // again at the next look
		return "", err
	}
	return id, nil
}
