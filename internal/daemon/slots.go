package daemon

import (
	"context"
	"sync"
)

// slots are where an order must be alone. One is read and measured while another is on
// the press and a third is brought safely to disk, so cores and disk are busy together;
// no more than two decoded pictures are ever in memory, and the print that is being made
// has all the cores. An order that other machines make is in none of them, but is decoded
// once more to be checked, alone too.
type slots struct {
	reading, press, checking slot
}

// inHand is how many orders are under way here: one in reading, one on the press, and one at
// its end.
const inHand = 3

// slot holds one order.
type slot chan struct{}

func newSlots() slots { return slots{make(slot, 1), make(slot, 1), make(slot, 1)} }

// enter waits until the slot is free.
func (s slot) enter(ctx context.Context) error {
	select {
	case s <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// keyLock lets one at a time do what has a key. The zero keyLock is ready.
type keyLock struct {
	mu   sync.Mutex
	held map[string]chan struct{} // closed when the key is given up
}

// lock waits until nobody else has the key.
func (l *keyLock) lock(ctx context.Context, key string) (unlock func(), err error) {
	for {
		l.mu.Lock()
		other := l.held[key]
		if other == nil {
			break
		}
		l.mu.Unlock()
		select {
		case <-other:
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
	defer l.mu.Unlock()
	if l.held == nil {
		l.held = map[string]chan struct{}{}
	}
	mine := make(chan struct{})
	l.held[key] = mine
	return func() {
		l.mu.Lock()
		defer l.mu.Unlock()
		delete(l.held, key)
		close(mine)
	}, nil
}
