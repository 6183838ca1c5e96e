package studio

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"regexp"

	"golang.org/x/sys/unix"
)

// What earlier versions kept in .sizewright, while several processes could share a
// studio: a file for each process and its lock, one for each order whose turn it was, and
// a lock. Their claims lie where ours do, and are recovered as ours are.
const (
	earlierWorkers  = stateDir + "/workers"
	earlierTurns    = stateDir + "/turns"
	earlierDeciding = stateDir + "/deciding"
)

// earlierFiles are the names that those versions gave the files of each directory.
var earlierFiles = map[string]*regexp.Regexp{
	earlierWorkers: regexp.MustCompile(`^.+-[0-9]+-[0-9a-f]+\.(json|lock)$`), // HOST-PID-RANDOM
	earlierTurns:   regexp.MustCompile(`^[0-9a-f]{32}$`),
}

// clearEarlier removes that. Whoever holds the lock alone is the only one at work. It
// gives what it removed, and reports what those versions did not put there: that stays.
func (s *Studio) clearEarlier() (removed []string, left []Recovered, err error) {
	var faults []error
	for _, rel := range []string{earlierWorkers, earlierTurns} {
		if !s.isDir(rel) {
			continue
		}
		foreign, err := s.clearEarlierDir(rel)
		faults = append(faults, err)
		switch {
		case foreign != "":
			left = append(left, Recovered{Kind: Left, Text: fmt.Sprintf("%s: sizewright did not put this file there, so it is left alone; move it out if it is yours", show(foreign))})
		case err == nil:
			removed = append(removed, rel)
		}
	}
	if st, err := s.tree.lstat(earlierDeciding); err == nil && st.Mode&unix.S_IFMT == unix.S_IFREG && st.Size == 0 {
		faults = append(faults, s.tree.discard(earlierDeciding))
		removed = append(removed, earlierDeciding)
	}
	return removed, left, errors.Join(faults...)
}

// clearEarlierDir removes an earlier version's files and, unless there are others, their
// directory. foreign is the first of the others.
func (s *Studio) clearEarlierDir(dir string) (foreign string, err error) {
	names, err := s.tree.list(dir)
	if err != nil {
		return "", err
	}
	for _, name := range names {
		rel := path.Join(dir, name)
		st, err := s.tree.lstat(rel)
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return "", err
		case st.Mode&unix.S_IFMT == unix.S_IFREG && earlierFiles[dir].MatchString(name):
			if err := s.tree.discard(rel); err != nil {
				return "", err
			}
		case foreign == "":
			foreign = rel
		}
	}
	if foreign != "" {
		return foreign, nil
	}
	return "", s.tree.rmdir(dir)
}
