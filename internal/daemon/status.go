package daemon

import (
	"encoding/json"
	"runtime"
	"time"

	"go.uber.org/zap"
)

// Doing is what a daemon says of itself, about once a second, by [studio.Studio.Tell].
type Doing struct {
	Orders  []InHand  `json:"orders"`            // in hand
	Queued  int       `json:"queued"`            // whole, and waiting for their turn
	Resting time.Time `json:"until,omitzero"`    // when the hours of work begin, where it waits for them
	Stays   []Stay    `json:"stays,omitempty"`   // what is not made for now, and why; the first of them
	Telling *Telling  `json:"telling,omitempty"` // the pages of earlier nights, while they are written
	At      time.Time `json:"at"`                // when it said so

	Goroutines int `json:"goroutines"` // for those who look for leaks
}

// Stay is a file that stays in its drop folder, or with Name "" all that lie in a
// folder, and why.
type Stay struct {
	Folder string `json:"folder"`
	Name   string `json:"name"`
	Text   string `json:"text"`  // one sentence, with the remedy
	Waits  bool   `json:"waits"` // it is tried again by itself; else nothing is made of it as it is
}

// mostStays bounds what is said, and so written to the disk, each second.
const mostStays = 100

// tellEvery is how often that is.
const tellEvery = time.Second

// tellDoing says what is being done until the returned function is called. Whether this
// process lives its lock shows, and whether it gets on is the watchdog's to judge.
func (w *worker) tellDoing() (stop func()) {
	done, ended := make(chan struct{}), make(chan struct{})
	say := func() {
		if err := w.Studio.Tell(w.doing()); err != nil {
			w.Log.Warn("what is being done could not be noted", zap.Error(err))
		}
	}
	say()
	go func() {
		defer close(ended)
		tick := time.NewTicker(tellEvery)
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

func (w *worker) doing() Doing {
	w.mu.Lock()
	defer w.mu.Unlock()
	return Doing{Orders: w.hand.inHand(), Queued: w.queued, Resting: w.resting, Stays: w.stays, Telling: w.atNight, At: w.Now().Truncate(time.Second), Goroutines: runtime.NumGoroutine()}
}

// waits notes how many are queued, and until when the hours of work are over, zero
// within them.
func (w *worker) waits(queued int, resting time.Time) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.queued, w.resting = queued, resting
}

// stay notes what is not made for now.
func (w *worker) stay(all []Stay) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.stays = all[:min(len(all), mostStays)]
}

// ReadDoing reads what a daemon said of itself.
func ReadDoing(data []byte) (d Doing, err error) {
	err = json.Unmarshal(data, &d)
	return d, err
}
