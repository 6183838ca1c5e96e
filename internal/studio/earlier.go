package studio

import (
	"errors"
	"io/fs"
)

// What versions before this one kept in .sizewright while several processes could share
// a studio. Their claims lie where ours do, and are recovered as ours are.
const (
	earlierWorkers  = stateDir + "/workers"
	earlierTurns    = stateDir + "/turns"
	earlierDeciding = stateDir + "/deciding"
)

// clearEarlier removes that. Nothing in it is the user's, and whoever holds the lock
// alone is the only one at work.
func (s *Studio) clearEarlier() error {
	faults := []error{s.tree.discard(earlierDeciding)}
	for _, dir := range []string{earlierWorkers, earlierTurns} {
		if _, err := s.tree.lstat(dir); errors.Is(err, fs.ErrNotExist) {
			continue
		}
		faults = append(faults, s.emptyOwn(dir), s.tree.rmdir(dir))
	}
	return errors.Join(faults...)
}
