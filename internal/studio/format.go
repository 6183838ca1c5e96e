package studio

import (
	"errors"
	"fmt"
	"io/fs"
	"strconv"
	"strings"
)

// Format is the format of the studios that this program works at, as
// .sizewright/format has it. It is raised when an earlier program could do harm to what
// this one leaves in a studio. A studio without that file is older than format 1.
const Format = 1

// format reads the studio's format, 0 if it has none yet.
func (s *Studio) format() (int, error) {
	data, err := s.tree.read(formatName)
	if errors.Is(err, fs.ErrNotExist) {
		return 0, nil
	}
	if err != nil {
		return 0, err
	}
	n, err := strconv.Atoi(strings.TrimSpace(string(data)))
	if err != nil || n < 1 {
		return 0, fault(formatName, "is not understood", errors.New("it should be a number, such as 1; if no later version of sizewright was ever used here, remove the file"))
	}
	return n, nil
}

// checkFormat refuses a studio that a later version has worked at.
func (s *Studio) checkFormat() error {
	n, err := s.format()
	if err == nil && n > Format {
		err = fmt.Errorf("%s: %w: it has format %d, and this version of sizewright knows formats up to %d; install the version that was last used here, or a later one",
			show(s.dir), ErrNewer, n, Format)
	}
	return err
}

func (s *Studio) writeFormat() error {
	return s.tree.replace(formatName, tempName(), []byte(strconv.Itoa(Format)+"\n"))
}

// takeOver brings a studio of an earlier version to the format of this one, and tells
// what it did. It needs the lock.
func (s *Studio) takeOver() (all []Recovered, err error) {
	removed, all, err := s.clearEarlier()
	var done []string
	n, formatErr := s.format()
	if formatErr == nil && n < Format {
		formatErr = s.writeFormat()
		if formatErr == nil {
			done = append(done, fmt.Sprintf("this studio is from an earlier version of sizewright, and now has format %d", Format))
		}
	}
	if len(removed) > 0 {
		done = append(done, "what an earlier version kept in "+strings.Join(removed, " and ")+" is removed")
	}
	if len(done) > 0 {
		all = append(all, Recovered{Kind: TakenOver, Text: strings.Join(done, "; ")})
	}
	return all, errors.Join(err, formatErr)
}
