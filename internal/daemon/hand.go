package daemon

import (
	"slices"
	"sync"
	"time"

	"sizewright/internal/record"
)

// hand is what is in hand, for the status that others read, and a pulse that beats
// whenever any of it gets on. It passes on to the user's own Progress, one call at a
// time. An order is known by its claim: two photographs of one name may be in hand at
// a time, one being made and the next dropped meanwhile.
type hand struct {
	to  Progress
	now func() time.Time
	pulse

	mu     sync.Mutex
	orders []InHand
}

// InHand is an order that is being made.
type InHand struct {
	ID     string    `json:"id"` // its claim's
	Folder string    `json:"folder"`
	Name   string    `json:"name"`
	Since  time.Time `json:"since"`
	Stage  string    `json:"stage"` // what is being done to it
	Share  float64   `json:"share"` // of the print that is made, 0 to 1
	Bytes  int64     `json:"-"`     // it may take on the disk
}

// The stages of an order.
const (
	stageReading   = "reading"
	stageMeasuring = "measuring"
	stageLearning  = "waiting for earlier records to be read"
	stageWaiting   = "waiting for the press"
	stagePrinting  = "printing"
	stageSaving    = "saving"
)

// started has an order in hand.
func (h *hand) started(id, folder, name string) {
	h.beat()
	h.mu.Lock()
	defer h.mu.Unlock()
	h.orders = append(h.orders, InHand{ID: id, Folder: folder, Name: name, Since: h.now(), Stage: stageReading})
	h.to.Started(folder, name)
}

// stage says what is being done to an order now.
func (h *hand) stage(id, stage string) {
	h.beat()
	h.mu.Lock()
	defer h.mu.Unlock()
	if o := h.find(id); o != nil {
		o.Stage = stage
	}
}

// rendering hears of the bands of a print.
func (h *hand) rendering(id string, done, total int) {
	h.beat()
	h.mu.Lock()
	defer h.mu.Unlock()
	if o := h.find(id); o != nil {
		o.Stage, o.Share = stagePrinting, float64(done)/float64(max(total, 1))
		h.to.Rendering(o.Folder, o.Name, done, total)
	}
}

// ended and failed hear of how an order came out; over has it out of hand.
func (h *hand) ended(e record.Entry) {
	h.beat()
	h.mu.Lock()
	defer h.mu.Unlock()
	h.to.Ended(e)
}

func (h *hand) failed(f record.Fault) {
	h.beat()
	h.mu.Lock()
	defer h.mu.Unlock()
	h.to.Failed(f)
}

func (h *hand) over(id string) {
	h.beat()
	h.mu.Lock()
	defer h.mu.Unlock()
	h.orders = slices.DeleteFunc(h.orders, func(o InHand) bool { return o.ID == id })
}

// find needs h.mu.
func (h *hand) find(id string) *InHand {
	i := slices.IndexFunc(h.orders, func(o InHand) bool { return o.ID == id })
	if i < 0 {
		return nil
	}
	return &h.orders[i]
}

func (h *hand) inHand() []InHand {
	h.mu.Lock()
	defer h.mu.Unlock()
	return slices.Clone(h.orders)
}
