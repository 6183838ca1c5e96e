package daemon

import (
	"encoding/json"
	"runtime"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/machines"
)

// Status is what a daemon says of itself, about once a second, by [studio.Studio.Tell].
type Status struct {
	Orders   []InHand         `json:"orders"`             // in hand
	Queued   int              `json:"queued"`             // whole, and waiting for their turn
	Resting  time.Time        `json:"until,omitzero"`     // when the hours of work begin, where it waits for them
	Ends     time.Time        `json:"ends,omitzero"`      // about when all that waits is made; zero before anything of it is
	Stays    []Stay           `json:"stays,omitempty"`    // what is not made for now, and why; the first of them
	Backfill *Backfill        `json:"backfill,omitempty"` // the pages of earlier nights, while they are written
	Machines *machines.Status `json:"machines,omitempty"` // other machines, where a server is named
	At       time.Time        `json:"at"`                 // when it said so

	Goroutines int `json:"goroutines"` // for those who look for leaks
}

// Stay is a file that stays in its drop folder, or with Name "" all that lie in a
// folder, and why.
type Stay struct {
	Folder string `json:"folder"`
	Name   string `json:"name"`
	Text   string `json:"text"` // one sentence
	Remedy string `json:"remedy,omitempty"`
	Waits  bool   `json:"waits"` // it is tried again by itself; else nothing is made of it as it is
}

// Backfill is how far the pages of earlier nights are.
type Backfill struct {
	Night  string `json:"night"`  // whose page is being made, 2026-03-14
	Before int    `json:"before"` // pages that were written before it
}

// ReadStatus reads what a daemon said of itself.
func ReadStatus(data []byte) (s Status, err error) {
	err = json.Unmarshal(data, &s)
	return s, err
}

// mostStays bounds what is said, and so written to the disk, each second.
const mostStays = 100

// sayEvery is how often that is.
const sayEvery = time.Second

// sayStatus says what is being done until the returned function is called. Whether this
// process lives its lock shows, and whether it gets on is the watchdog's to judge.
func (r *run) sayStatus() (stop func()) {
	done, ended := make(chan struct{}), make(chan struct{})
	say := func() {
		if err := r.Studio.Tell(r.statusNow()); err != nil {
			r.Log.Warn("what is being done could not be noted", zap.Error(err))
		}
	}
	say()
	go func() {
		defer close(ended)
		tick := time.NewTicker(sayEvery)
		defer tick.Stop()
		for {
			select {
			case <-done:
				return
			case <-tick.C:
				say()
			}
		}
	}()
	return func() { close(done); <-ended }
}

func (r *run) statusNow() Status {
	r.statusMu.Lock()
	s := r.status
	r.statusMu.Unlock()
	s.Orders, s.At, s.Goroutines = r.tracker.inHand(), r.Now().Truncate(time.Second), runtime.NumGoroutine()
	s.Machines = r.machines.Status()
	s.Stays = s.Stays[:min(len(s.Stays), mostStays)]
	return s
}

// noteStatus changes what the status says next.
func (r *run) noteStatus(change func(*Status)) {
	r.statusMu.Lock()
	defer r.statusMu.Unlock()
	change(&r.status)
}
