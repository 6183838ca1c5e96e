package studio

import (
	"errors"
	"fmt"
	"io/fs"
)

// lost tells whether a claim's directory is there no more, which nobody but a
// worker taking the claim over can have brought about.
func (s *Studio) lost(id string) bool {
	_, err := s.tree.lstat(claimPath(id))
	return errors.Is(err, fs.ErrNotExist)
}

// Ours fails with ErrTakenOver when another worker has taken this claim over,
// this one having slept or been out of reach for longer than its lease. Then
// the order is no longer this worker's to end or to report: drop it without a
// word to the user. Every method that ends a claim tells the same by itself;
// Ours is for finding out whether some other failure (a file of the claim that
// is suddenly not there) comes from that.
func (c *Claim) Ours() error {
	if c.over || !c.studio.lost(c.ID) {
		return nil
	}
	c.over = true
	return errTakenOver(c.ID, dropPath(c.Folder, c.Name))
}

// explained is err, or if the claim has been taken over, that.
func (c *Claim) explained(err error) error {
	if err == nil {
		return nil
	}
	if taken := c.Ours(); taken != nil {
		return taken
	}
	return err
}

func errTakenOver(id, name string) error {
	return fmt.Errorf("%s: %w while this one slept or was out of reach; that one sees to it (%s)", show(name), ErrTakenOver, show(claimPath(id)))
}
