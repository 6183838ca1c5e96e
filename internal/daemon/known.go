package daemon

import (
	"context"
	"fmt"

	"sizewright/internal/record"
)

// known are the prints that need not be made again: those of this run, and those of
// earlier ones, of which there may be years' worth. Their records are read beside
// whatever comes first.
type known struct {
	record.Prints
	reader record.Reader
	read   chan struct{} // closed when earlier runs' records are read, or cannot be
	err    error         // why they cannot be, once read is closed
}

func newKnown(r record.Reader) *known { return &known{reader: r, read: make(chan struct{})} }

// begin reads the records until stop is called.
func (k *known) begin(ctx context.Context) (stop func()) {
	ctx, cancel := context.WithCancel(ctx)
	go func() {
		defer close(k.read)
		k.err = k.learn(ctx)
	}()
	return func() { cancel(); <-k.read }
}

func (k *known) learn(ctx context.Context) error {
	if err := k.Learn(ctx, k.reader); err != nil {
		return fmt.Errorf("reading earlier records: %w", err)
	}
	return nil
}

// wait returns when the records are read, and reads them anew where they could not be: an
// order whose like may have been made is better made later than twice.
func (k *known) wait(ctx context.Context) error {
	select {
	case <-k.read:
	case <-ctx.Done():
		return ctx.Err()
	}
	if k.err == nil {
		return nil
	}
	return k.learn(ctx)
}

// closed tells whether what a channel stands for is over.
func closed(over <-chan struct{}) bool {
	select {
	case <-over:
		return true
	default:
		return false
	}
}
