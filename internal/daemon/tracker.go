package daemon

import (
	"slices"
	"sync"
	"time"

	"sizewright/internal/record"
)

// tracker knows how far each order in hand is. The status is read from it, the watchdog
// is fed by its heartbeat, and it passes on to the user's own Progress, one call at a
// time.
type tracker struct {
	to  Progress
	now func() time.Time
	heartbeat

	mu     sync.Mutex
	orders []*tracked
}

// tracked is one order in hand. Two photographs of one name may be in hand at a time, one
// being made and the next dropped meanwhile.
type tracked struct {
	*tracker
	InHand
	bytes int64 // it may take on the disk
}

// InHand is how far an order in hand is.
type InHand struct {
	ID     string    `json:"id"` // its claim's
	Folder string    `json:"folder"`
	Name   string    `json:"name"`
	Since  time.Time `json:"since"`
	Stage  string    `json:"stage"`          // what is being done to it
	Share  float64   `json:"share"`          // of the print that is made, 0 to 1
	Text   string    `json:"text,omitempty"` // what a worker does to it
}

// The stages of an order.
const (
	stageReading   = "reading"
	stageMeasuring = "measuring"
	stageLearning  = "waiting for earlier records to be read"
	stageWaiting   = "waiting for the press"
	stagePrinting  = "printing"
	stageAway      = "with another machine"
	stageSaving    = "saving"
)

// heard notes progress: every change shows that the daemon gets on.
func (t *tracker) heard(change func()) {
	t.beat()
	t.mu.Lock()
	defer t.mu.Unlock()
	change()
}

// started has an order in hand, until it is over.
func (t *tracker) started(id, folder, name string) *tracked {
	o := &tracked{tracker: t, InHand: InHand{ID: id, Folder: folder, Name: name, Since: t.now(), Stage: stageReading}}
	t.heard(func() {
		t.orders = append(t.orders, o)
		t.to.Started(folder, name)
	})
	return o
}

// stage says what is being done to the order now.
func (o *tracked) stage(stage string) { o.heard(func() { o.Stage, o.Text = stage, "" }) }

// elsewhere hears what another machine does to it, or is done for it.
func (o *tracked) elsewhere(doing string, share float64) {
	o.heard(func() { o.Stage, o.Text, o.Share = stageAway, doing, share })
}

// rendering hears of the bands of its print.
func (o *tracked) rendering(done, total int) {
	o.heard(func() {
		o.Stage, o.Text, o.Share = stagePrinting, "", float64(done)/float64(max(total, 1))
		o.to.Rendering(o.Folder, o.Name, done, total)
	})
}

// reserve takes room on the disk for what the order has yet to write.
func (o *tracked) reserve(bytes int64) { o.heard(func() { o.bytes = bytes }) }

// over has it out of hand.
func (o *tracked) over() {
	o.heard(func() { o.orders = slices.DeleteFunc(o.orders, func(x *tracked) bool { return x == o }) })
}

// ended and failed hear of how an order came out.
func (t *tracker) ended(e record.Entry)  { t.heard(func() { t.to.Ended(e) }) }
func (t *tracker) failed(f record.Fault) { t.heard(func() { t.to.Failed(f) }) }

// waiting hears what is still to be made.
func (t *tracker) waiting(orders int, takes time.Duration) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.to.Waiting(orders, takes)
}

func (t *tracker) inHand() []InHand {
	t.mu.Lock()
	defer t.mu.Unlock()
	all := make([]InHand, len(t.orders))
	for i, o := range t.orders {
		all[i] = o.InHand
	}
	return all
}

// reserved is the room that all orders in hand have taken.
func (t *tracker) reserved() (bytes int64) {
	t.mu.Lock()
	defer t.mu.Unlock()
	for _, o := range t.orders {
		bytes += o.bytes
	}
	return bytes
}

// silent is for a run that nobody watches.
type silent struct{}

func (silent) Started(string, string)             {}
func (silent) Rendering(string, string, int, int) {}
func (silent) Ended(record.Entry)                 {}
func (silent) Failed(record.Fault)                {}
func (silent) Waiting(int, time.Duration)         {}
