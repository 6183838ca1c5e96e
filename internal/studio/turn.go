package studio

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"sync"
	"time"

	"golang.org/x/sys/unix"
)

// Turn waits until nobody else in any process at this studio has the turn for
// key, and takes it until giveUp or the process's end. Two daemons into whose
// hands the same picture has fallen take turns at it, so that the second finds
// what the first made. key may be anything; equal keys are one turn. It fails
// only with ctx's error or a fault of the disk.
//
// A turn is a lock on a file, and the file goes with it. Processes on machines
// between which the file system passes no locks do not see each other's turns.
func (s *Studio) Turn(ctx context.Context, key string) (giveUp func(), err error) {
	sum := sha256.Sum256([]byte(key))
	rel := turnsDir + "/" + hex.EncodeToString(sum[:16])
	const soon, late = 5 * time.Millisecond, 250 * time.Millisecond
	for wait := soon; ; wait = min(2*wait, late) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		f, err := s.tree.lockFile(rel, unix.O_CREAT, unix.LOCK_EX)
		if err != nil {
			return nil, err
		}
		if f != nil {
			return sync.OnceFunc(func() { s.endTurn(f, rel) }), nil
		}
		select {
		case <-ctx.Done():
		case <-time.After(wait):
		}
	}
}

func (s *Studio) endTurn(f *os.File, rel string) {
	s.tree.discard(rel) // one that stays is swept at the next start
	f.Close()
}

// sweepTurns removes the files of turns whose holders were killed.
func (s *Studio) sweepTurns() error {
	names, err := s.tree.list(turnsDir)
	faults := []error{err}
	for _, name := range names {
		rel := turnsDir + "/" + name
		f, err := s.tree.lockFile(rel, 0, unix.LOCK_EX)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			faults = append(faults, err)
		}
		if f != nil {
			s.endTurn(f, rel)
		}
	}
	return errors.Join(faults...)
}
