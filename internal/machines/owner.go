package machines

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
	"go.uber.org/zap"

	"sizewright/internal/colour"
	"sizewright/internal/photo"
	"sizewright/internal/render"
	"sizewright/internal/tiff"
	"sizewright/internal/version"
)

// Owner has prints made by workers. A nil Owner has none.
type Owner struct {
	server  Server
	log     *zap.Logger
	tell    func(text, remedy string)
	id      string
	print   string // fingerprint
	nc      *nats.Conn
	js      jetstream.JetStream
	stop    context.CancelFunc
	setting sync.Mutex // one set-up at a time

	mu      sync.Mutex
	objects *store    // nil until the server is set up
	away    time.Time // since when the server is not reached
	never   bool      // it was not reached yet
	rests   time.Time // no orders are sent before, after trouble
	workers map[string]*known
	banned  map[string]string // why, by name or run
	orders  map[string]*sent
	seats   int // taken
	sources map[string]*stored
	changed chan struct{} // closed when a seat may be free
	rates   ownRates
}

// known is a worker as it was last heard.
type known struct {
	beat
	heard time.Time
}

// sent is an order in the queue or in a worker's hands.
type sent struct {
	run    string // of whoever took it
	worker string
	steps  int
	events chan event
}

// event is what is heard of an order.
type event struct {
	kind  string // askTake, askDone, askFail, "step", "exhausted"
	ask   request
	hand  inHand
	reply chan reply
}

// stored is an object that was stored, for as long as orders use it.
type stored struct {
	mu   sync.Mutex // held while it is stored
	is   bool
	blob blob
	uses int
	last time.Time
}

// keepSources is how long a source stays in the store for another size of the same picture.
const keepSources = 10 * time.Minute

// NewOwner reaches for a server, and goes on doing so until it is closed. tell hears, in one
// sentence and with a remedy, of what people are to know, which may be the same several times.
func NewOwner(s Server, log *zap.Logger, tell func(text, remedy string)) (*Owner, error) {
	o := &Owner{
		server: s, log: log, tell: tell, id: newID(), print: ownFingerprint(), away: time.Now(), never: true,
		workers: map[string]*known{}, banned: map[string]string{}, orders: map[string]*sent{}, sources: map[string]*stored{},
		changed: make(chan struct{}), rates: firstRates,
	}
	ctx, stop := context.WithCancel(context.Background())
	o.stop = stop
	nc, js, err := s.connect("sizewright "+o.id,
		nats.DisconnectErrHandler(func(*nats.Conn, error) { o.lost() }),
		nats.ConnectHandler(func(nc *nats.Conn) { go o.set(ctx, nc) }),
		nats.ReconnectHandler(func(nc *nats.Conn) { go o.set(ctx, nc) }))
	if err != nil {
		stop()
		return nil, err
	}
	o.nc, o.js = nc, js
	for subject, hear := range map[string]nats.MsgHandler{
		beatSubject:        o.onBeat,
		ownerPrefix + o.id: func(m *nats.Msg) { go o.onRequest(m) },
		"$JS.EVENT.ADVISORY.CONSUMER.MAX_DELIVERIES." + orderStream + "." + o.print: o.onExhausted,
	} {
		if _, err := nc.Subscribe(subject, hear); err != nil {
			nc.Close()
			stop()
			return nil, err
		}
	}
	go o.look(ctx)
	if nc.IsConnected() { // else it is not there, and may come
		o.mu.Lock()
		ready := o.changed
		o.mu.Unlock()
		select {
		case <-ready:
		case <-time.After(askWithin):
		}
	}
	return o, nil
}

// Close gives the connection up. Prints that are being made return an error.
func (o *Owner) Close() {
	if o == nil {
		return
	}
	o.stop()
	o.mu.Lock()
	objects, all := o.objects, o.sources
	o.sources = map[string]*stored{}
	o.mu.Unlock()
	if objects != nil && o.nc.IsConnected() {
		for _, s := range all {
			ctx, stop := context.WithTimeout(context.Background(), askWithin)
			objects.remove(ctx, o.id, s.blob)
			stop()
		}
	}
	o.nc.Close()
}

// set makes what the server lacks, also one that came back empty.
func (o *Owner) set(ctx context.Context, nc *nats.Conn) {
	o.setting.Lock()
	defer o.setting.Unlock()
	for ctx.Err() == nil && nc.IsConnected() {
		var objects store
		js, err := jetstream.New(nc)
		if err == nil {
			within, stop := context.WithTimeout(ctx, askWithin)
			_, objects, err = setUp(within, js, o.print)
			stop()
		}
		if err == nil {
			o.mu.Lock()
			o.objects, o.away, o.never = &objects, time.Time{}, false
			o.wake()
			o.mu.Unlock()
			o.log.Info("other machines may make prints", zap.String("server", nc.ConnectedUrlRedacted()))
			return
		}
		o.trouble(err)
		select {
		case <-ctx.Done():
		case <-time.After(askWithin):
		}
	}
}

// lost hears that the server is gone.
func (o *Owner) lost() {
	o.mu.Lock()
	o.objects = nil
	if o.away.IsZero() {
		o.away = time.Now()
	}
	o.mu.Unlock()
	o.log.Warn("the server of [machines] is not reached")
}

// wake needs o.mu.
func (o *Owner) wake() {
	close(o.changed)
	o.changed = make(chan struct{})
}

// look forgets workers that are silent and sources that nothing uses, now and then.
func (o *Owner) look(ctx context.Context) {
	tick := time.NewTicker(beatEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		o.mu.Lock()
		for run, w := range o.workers {
			if time.Since(w.heard) > 30*silentFor {
				delete(o.workers, run)
			}
		}
		objects := o.objects
		var old []blob
		for digest, s := range o.sources {
			if s.uses == 0 && time.Since(s.last) > keepSources {
				delete(o.sources, digest)
				old = append(old, s.blob)
			}
		}
		o.wake() // a rest may be over
		o.mu.Unlock()
		for _, b := range old {
			if objects != nil {
				objects.remove(ctx, o.id, b)
			}
		}
	}
}

func (o *Owner) onBeat(m *nats.Msg) {
	var b beat
	if json.Unmarshal(m.Data, &b) != nil || !anID.MatchString(b.Run) {
		return
	}
	b.bound()
	o.mu.Lock()
	defer o.mu.Unlock()
	if b.Leaves {
		delete(o.workers, b.Run)
		return
	}
	if len(o.workers) >= maxWorkers && o.workers[b.Run] == nil {
		return
	}
	o.workers[b.Run] = &known{b, time.Now()}
	for _, h := range b.Hand {
		if s := o.orders[h.ID]; s != nil && s.run == b.Run && s.steps != h.Steps {
			s.steps = h.Steps
			s.hear(event{kind: "step", hand: h})
		}
	}
	o.wake()
}

// hear passes an event on, unless so many wait that none can be lost of them.
func (s *sent) hear(e event) bool {
	select {
	case s.events <- e:
		return true
	default:
		return false
	}
}

// onRequest answers a worker.
func (o *Owner) onRequest(m *nats.Msg) {
	var r request
	answer := reply{}
	if json.Unmarshal(m.Data, &r) == nil {
		r.Worker, r.Why = bounded(r.Worker), bounded(r.Why)
		answer = o.answer(r)
	}
	if data, err := json.Marshal(answer); err == nil {
		m.Respond(data)
	}
}

func (o *Owner) answer(r request) reply {
	o.mu.Lock()
	if why := cmp.Or(o.banned[r.Worker], o.banned[r.Run]); why != "" {
		o.mu.Unlock()
		return reply{Banned: true, Why: why}
	}
	s := o.orders[r.ID]
	if s == nil || r.Ask != askTake && s.run != r.Run {
		o.mu.Unlock()
		return reply{Why: errGone.Error()}
	}
	if r.Ask == askTake {
		s.run, s.worker, s.steps = r.Run, r.Worker, 0
	}
	o.mu.Unlock()
	e := event{kind: r.Ask, ask: r, reply: make(chan reply, 1)}
	if !s.hear(e) {
		return reply{Why: errGone.Error()}
	}
	select {
	case a := <-e.reply:
		return a
	case <-time.After(askWithin):
		return reply{Why: errGone.Error()}
	}
}

// onExhausted hears that the server gives a message out no more.
func (o *Owner) onExhausted(m *nats.Msg) {
	var advisory struct {
		Seq uint64 `json:"stream_seq"`
	}
	if json.Unmarshal(m.Data, &advisory) != nil {
		return
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	for _, s := range o.orders {
		s.hear(event{kind: "exhausted", hand: inHand{Steps: int(advisory.Seq)}})
	}
}

// ban gives a worker no more: all of its name, or this run of it alone.
func (o *Owner) ban(s *sent, byName bool, why string) {
	o.mu.Lock()
	name := s.worker
	if byName {
		o.banned[name] = why
	} else {
		o.banned[s.run] = why
	}
	o.mu.Unlock()
	o.log.Error("a worker is given no more orders", zap.String("worker", name), zap.String("why", why))
	do := "look at that machine's log, then start its worker again"
	if byName {
		do = "test that machine's memory and disk, and do not use it until then"
	}
	o.tell(fmt.Sprintf("the worker %s is given no more orders: %s; the print was made here", name, why), do)
}

func (o *Owner) sayAway() {
	o.tell("the server of [machines] was not reached, so prints were made on this machine", "start it, or correct nats under [machines] in sizewright.toml")
}

// trouble has no orders sent for a while.
func (o *Owner) trouble(err error) {
	o.mu.Lock()
	o.rests = time.Now().Add(pause)
	o.mu.Unlock()
	o.log.Warn("trouble with the server of [machines]", zap.Error(err))
	text, do := "the server of [machines] has trouble, so prints were made on this machine", "look at its log"
	if isFull(err) {
		text, do = "the server of [machines] has no room for pictures, so prints were made on this machine", "give its JetStream more room on its disk"
	}
	o.tell(text, do)
}

// Print is what is to be made.
type Print struct {
	Recipe   render.Recipe
	Header   tiff.Header // of the file
	Profiles render.Profiles
	Path     string // of the source
	SHA256   string
	Bytes    int64
	Limits   photo.Limits // for decoding it
	Room     int64        // bytes of disk that decoding it takes

	Decode   func(ctx context.Context) (*photo.Photo, error) // the source again, to check strips of it
	Progress func(stage string, share float64)
}

// Made says where and how a print was made.
type Made struct {
	Worker   string  `json:"machine"`
	Seconds  float64 `json:"seconds"` // from sending to having it checked
	Sent     int64   `json:"sent_bytes"`
	Received int64   `json:"received_bytes"`
	Checked  int     `json:"checked_strips"` // made again here, and found equal
	Why      string  `json:"why"`            // it was made there
}

// checkStrips is how many strips are made again.
const checkStrips = 3

// Seat is a worker's time for one print. It ends with [Owner.Make] or [Owner.Leave].
type Seat struct{ why string }

// Leave gives a seat up.
func (o *Owner) Leave(*Seat) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.seats--
	o.wake()
}

// Capacity is how many prints the workers make at a time.
func (o *Owner) Capacity() int {
	if o == nil {
		return 0
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.capacity()
}

// capacity needs o.mu.
func (o *Owner) capacity() (n int) {
	if o.objects == nil || time.Now().Before(o.rests) {
		return 0
	}
	for _, w := range o.workers {
		if o.fit(w) != "" {
			continue
		}
		n += w.Prints
		for _, h := range w.Hand {
			if h.Owner != o.id {
				n-- // another studio's
			}
		}
	}
	return max(n, 0)
}

// fit is why a worker is given nothing, "" if it may be. It needs o.mu.
func (o *Owner) fit(w *known) string {
	switch why := cmp.Or(o.banned[w.Worker], o.banned[w.Run]); {
	case why != "":
		return why
	case w.Fingerprint != o.print:
		return fmt.Sprintf("its version is %s, and this is %s", w.Program, version.Version())
	case time.Since(w.heard) > silentFor:
		return "it is not heard of"
	}
	return w.Trouble
}

// Seat takes a free worker's time for a print, nil if there is none or the print is better
// made here; why says which. changed is closed when that may be otherwise.
func (o *Owner) Seat(p *render.Recipe, sourceMegapixels float64, source, most int64, sha string) (seat *Seat, why string, changed <-chan struct{}) {
	o.mu.Lock()
	defer o.mu.Unlock()
	s := o.sources[sha]
	why, worth := o.rates.worth(p, sourceMegapixels, source, most, s != nil && s.is)
	switch {
	case o.objects == nil && (o.never || time.Since(o.away) > goneFor):
		why = "the server of [machines] is not reached"
		o.sayAway()
	case !worth:
	case o.seats >= o.capacity():
		why = "no worker is free"
	default:
		o.seats++
		return &Seat{why}, why, o.changed
	}
	return nil, why, o.changed
}

// Make has a print made on another machine, and writes its file to w, which must be empty.
// After an error the file is of no use, and the print is to be made here. It ends the seat.
func (o *Owner) Make(ctx context.Context, seat *Seat, p Print, w io.WriteSeeker) (tw *tiff.Writer, made *Made, err error) {
	begun := time.Now()
	leave := sync.OnceFunc(func() { o.Leave(seat) })
	defer leave()
	o.mu.Lock()
	objects := o.objects
	o.mu.Unlock()
	if objects == nil {
		return nil, nil, errors.New("the server is not reached")
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	made = &Made{Why: seat.why}
	ord, drop, err := o.send(ctx, *objects, &p, made)
	defer drop()
	if err != nil {
		var disk *os.PathError
		if ctx.Err() == nil && !errors.As(err, &disk) {
			o.trouble(err)
		}
		return nil, nil, err
	}
	s, done, err := o.await(ctx, ord, p.Progress)
	o.forget(ord.ID)
	if err != nil {
		return nil, nil, err
	}
	leave()
	defer objects.remove(context.WithoutCancel(ctx), o.id, done.Result)
	made.Worker = s.worker
	tw, sums, err := o.receive(ctx, *objects, &p, done, w)
	if err != nil {
		var moving transportError
		switch {
		case ctx.Err() != nil:
		case errors.As(err, &moving):
			o.trouble(err)
		default:
			o.ban(s, true, "what it sent is no print: "+err.Error())
		}
		return nil, nil, err
	}
	made.Received = done.Result.Bytes
	p.Progress("checking", 0)
	made.Checked, err = o.check(ctx, &p, sums)
	if errors.Is(err, errOther) {
		o.ban(s, true, err.Error())
	}
	if err != nil {
		return nil, nil, err
	}
	made.Seconds = time.Since(begun).Round(time.Millisecond).Seconds()
	return tw, made, nil
}

// send stores what the order needs and describes it. drop lets the objects go.
func (o *Owner) send(ctx context.Context, objects store, p *Print, made *Made) (ord order, drop func(), err error) {
	var used []*stored
	drop = func() {
		o.mu.Lock()
		defer o.mu.Unlock()
		for _, s := range used {
			s.uses--
			s.last = time.Now()
		}
	}
	ord = order{
		ID: newID(), Owner: o.id, Recipe: p.Recipe, Source: blob{p.SHA256, p.Bytes}, Output: blobOf(p.Profiles.Output),
		Limits: p.Limits, Most: p.Header.MaxBytes(), Room: p.Room,
	}
	store := func(b blob, open func() (io.ReadCloser, error)) {
		if err == nil {
			s := o.use(b)
			used = append(used, s)
			err = o.store(ctx, objects, s, open, func(n int) {
				made.Sent += int64(n)
				p.Progress("sending", float64(made.Sent)/float64(max(b.Bytes, 1)))
			})
		}
	}
	small := func(b blob, data []byte) *blob {
		store(b, func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(data)), nil })
		return &b
	}
	small(ord.Output, p.Profiles.Output.Bytes)
	if s := p.Profiles.Source; s != nil {
		ord.Profile = small(blobOf(s), s.Bytes)
	}
	if f := p.Profiles.Face; f != nil {
		ord.Font = small(blob{f.Digest(), int64(len(f.Bytes()))}, f.Bytes())
	}
	store(ord.Source, func() (io.ReadCloser, error) { return os.Open(p.Path) })
	return ord, drop, err
}

func blobOf(p *colour.Profile) blob { return blob{p.Digest(), int64(len(p.Bytes))} }

// use has an object kept until its uses end.
func (o *Owner) use(b blob) *stored {
	o.mu.Lock()
	defer o.mu.Unlock()
	s := o.sources[b.SHA256]
	if s == nil {
		s = &stored{blob: b}
		o.sources[b.SHA256] = s
	}
	s.uses++
	return s
}

// store stores an object, unless it is stored.
func (o *Owner) store(ctx context.Context, objects store, s *stored, open func() (io.ReadCloser, error), moved func(int)) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.is && objects.holds(ctx, o.id, s.blob) {
		return nil
	}
	r, err := open()
	if err != nil {
		return err
	}
	defer r.Close()
	begun := time.Now()
	if err := objects.put(ctx, o.id, s.blob, r, moved); err != nil {
		return err
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	s.is = true
	o.rates.moved(s.blob.Bytes, time.Since(begun))
	return nil
}

// await puts an order into the queue and waits until it is made. After an error nobody
// has it any more.
func (o *Owner) await(ctx context.Context, ord order, progress func(string, float64)) (s *sent, done request, err error) {
	s = &sent{events: make(chan event, 64)}
	o.mu.Lock()
	o.orders[ord.ID] = s
	o.mu.Unlock()
	data, err := json.Marshal(ord)
	if err != nil {
		return s, done, err
	}
	within, stop := context.WithTimeout(ctx, askWithin)
	ack, err := o.js.Publish(within, orderSubject(o.print), data, jetstream.WithMsgID(ord.ID))
	stop()
	if err != nil {
		if ctx.Err() == nil {
			o.trouble(err)
		}
		return s, done, err // if it came through, whoever takes it is told that it is gone
	}
	defer func() {
		if err != nil {
			o.takeBack(ord.ID, ack.Sequence)
		}
	}()
	progress("waiting for a worker", 0)
	limit, last := pullWithin, time.Now()
	tick := time.NewTicker(max(silentFor/10, 10*time.Millisecond))
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return s, done, ctx.Err()
		case <-tick.C:
			o.mu.Lock()
			gone := o.objects == nil && time.Since(o.away) > goneFor
			o.mu.Unlock()
			switch {
			case gone:
				o.sayAway()
				return s, done, errors.New("the server is gone")
			case time.Since(last) > limit:
				return s, done, fmt.Errorf("no worker got on with it for %v", limit)
			}
		case e := <-s.events:
			switch e.kind {
			case askTake:
				limit, last = stallAfter, time.Now()
				e.reply <- reply{OK: true}
			case "step":
				last = time.Now()
				progress("at "+s.worker+", "+e.hand.Stage, e.hand.Share)
			case "exhausted":
				if uint64(e.hand.Steps) == ack.Sequence {
					return s, done, fmt.Errorf("attempt %d of a worker failed too", maxDeliver)
				}
			case askFail:
				e.reply <- reply{OK: true}
				o.ban(s, false, "it could not make a print: "+e.ask.Why)
				return s, done, errors.New("the worker could not make it")
			case askDone:
				e.reply <- reply{OK: true}
				return s, e.ask, nil
			}
		}
	}
}

// takeBack takes an order out of the queue.
func (o *Owner) takeBack(id string, sequence uint64) {
	o.forget(id)
	if !o.nc.IsConnected() {
		return
	}
	ctx, stop := context.WithTimeout(context.Background(), askWithin)
	defer stop()
	stream, err := o.js.Stream(ctx, orderStream)
	if err == nil {
		err = stream.DeleteMsg(ctx, sequence)
	}
	if err != nil {
		o.log.Info("an order stays in the queue, and whoever takes it is told that it is gone", zap.Error(err))
	}
}

func (o *Owner) forget(id string) {
	o.mu.Lock()
	defer o.mu.Unlock()
	delete(o.orders, id)
}
