package daemon

import (
	"context"
	"slices"

	"sizewright/internal/record"
)

// places are where an order must be alone. One is read and measured while another
// is on the press and a third is brought safely to disk, so cores and disk are
// busy together; no more than two decoded pictures are ever in memory, and the
// print that is being made has all the workers.
type places struct {
	reading, press place
}

// inHand is how many orders are under way: one in each place, and one at its end.
const inHand = 3

// place holds one order.
type place chan struct{}

func newPlaces() places { return places{make(place, 1), make(place, 1)} }

// enter waits until the place is free.
func (j *job) enter(ctx context.Context, p place) error {
	select {
	case p <- struct{}{}:
		j.in = append(j.in, p)
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// exit frees the place, if the order is there.
func (j *job) exit(p place) {
	for i, in := range j.in {
		if in == p {
			j.in = append(j.in[:i], j.in[i+1:]...)
			<-p
			return
		}
	}
}

// exitAll frees whatever the order still holds.
func (j *job) exitAll() {
	for len(j.in) > 0 {
		j.exit(j.in[0])
	}
}

// turn is held by one of the orders in hand that would make the same print.
type turn struct {
	held  place
	users int
}

// await waits until no other order in hand would make the same print, so that it is
// made once; giveUp lets the next have its turn.
func (w *worker) await(ctx context.Context, key string) (giveUp func(), err error) {
	w.mu.Lock()
	t := w.turns[key]
	if t == nil {
		t = &turn{held: make(place, 1)}
		w.turns[key] = t
	}
	t.users++
	w.mu.Unlock()
	forget := func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		if t.users--; t.users == 0 {
			delete(w.turns, key)
		}
	}
	select {
	case t.held <- struct{}{}:
	case <-ctx.Done():
		forget()
		return nil, ctx.Err()
	}
	return func() { <-t.held; forget() }, nil
}

// keep notes how an order ended, to recognise another like it.
func (w *worker) keep(e record.Entry) {
	w.prints.Add(e)
	w.mu.Lock()
	defer w.mu.Unlock()
	w.night.Records = append(w.night.Records, e)
	// What kept it waiting before is over.
	folder, name := e.Record.Order.Folder, e.Record.Source.Name
	w.night.Left = slices.DeleteFunc(w.night.Left, func(l record.Left) bool { return l.Folder == folder && l.Name == name })
	w.night.Faults = slices.DeleteFunc(w.night.Faults, func(f record.Fault) bool { return f.Folder == folder && f.Name == name })
}
