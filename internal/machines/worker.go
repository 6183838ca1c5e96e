package machines

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"sync"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
	"go.uber.org/zap"
	"golang.org/x/sync/errgroup"
	"golang.org/x/sys/unix"

	"sizewright/internal/caption"
	"sizewright/internal/colour"
	"sizewright/internal/isolate"
	"sizewright/internal/photo"
	"sizewright/internal/remedy"
	"sizewright/internal/render"
	"sizewright/internal/system"
	"sizewright/internal/version"
)

// Worker makes prints for owners, until it is stopped.
type Worker struct {
	Server  Server
	Name    string // by which owners know it
	Prints  int    // that it makes at a time, at least 1
	Cores   int    // that make one print; 0 is its share of all
	Scratch string // a directory of its own, made if it is missing
	Memory  int64  // that decoding may take, whatever an order says; 0 for no such bound
	Log     *zap.Logger

	run      string
	print    string // fingerprint
	nc       *nats.Conn
	stopping func() bool

	mu       sync.Mutex
	hand     []*held
	reserved int64 // bytes of scratch
	rates    Rates
	trouble  string
	lie      func(strip []byte, i int) []byte // tests have a worker that breaks
}

// held is an order in hand.
type held struct {
	w   *Worker
	msg jetstream.Msg
	inHand
	told time.Time // the server, that it gets on
}

// Run works until ctx ends; what is in hand then goes back to the queue. The error says
// what keeps it from working at all.
func (w *Worker) Run(ctx context.Context) error {
	unlock, err := w.ownScratch()
	if err != nil {
		return err
	}
	defer unlock()
	w.run, w.stopping = newID(), func() bool { return ctx.Err() != nil }
	if w.print == "" {
		w.print = ownFingerprint()
	}
	w.Prints = max(w.Prints, 1)
	if w.Cores == 0 {
		w.Cores = max(1, runtime.GOMAXPROCS(0)/w.Prints)
	}
	nc, js, err := w.Server.connect("sizewright worker "+w.Name,
		nats.DisconnectErrHandler(func(_ *nats.Conn, err error) {
			w.Log.Warn("the server is not reached", zap.Error(err))
		}),
		nats.ReconnectHandler(func(*nats.Conn) { w.Log.Info("the server is reached again") }))
	if err != nil {
		return err
	}
	defer nc.Close()
	w.nc = nc
	var all errgroup.Group
	for range w.Prints {
		all.Go(func() error { w.loop(ctx, js); return nil })
	}
	beats, stop := context.WithCancel(context.Background())
	var beating sync.WaitGroup
	beating.Go(func() { w.beat(beats) })
	err = all.Wait()
	stop()
	beating.Wait()
	nc.FlushTimeout(time.Second)
	return err
}

// ownScratch takes the scratch directory for this process, and empties it of what an
// earlier one left.
func (w *Worker) ownScratch() (unlock func(), err error) {
	if err := os.MkdirAll(w.Scratch, 0o700); err != nil {
		return nil, err
	}
	d, err := os.Open(w.Scratch)
	if err != nil {
		return nil, err
	}
	if err := unix.Flock(int(d.Fd()), unix.LOCK_EX|unix.LOCK_NB); err != nil {
		d.Close()
		return nil, remedy.Errorf("give each its own with --scratch", "another worker uses %s for its files", w.Scratch)
	}
	left, err := filepath.Glob(filepath.Join(w.Scratch, scratchPrefix+"*"))
	for _, dir := range left {
		err = errors.Join(err, os.RemoveAll(dir))
	}
	return func() { d.Close() }, err
}

const scratchPrefix = "print-"

// loop makes one print after the other.
func (w *Worker) loop(ctx context.Context, js jetstream.JetStream) {
	for ctx.Err() == nil {
		if !w.nc.IsConnected() {
			w.rest(ctx, "the server is not reached", beatEvery)
			continue
		}
		within, stop := context.WithTimeout(ctx, askWithin)
		queue, objects, err := setUp(within, js, w.print)
		stop()
		if err == nil {
			w.say("")
		}
		for err == nil && ctx.Err() == nil {
			var msg jetstream.Msg
			if msg, err = next(ctx, queue); msg != nil {
				w.handle(ctx, msg, objects)
			}
		}
		if ctx.Err() == nil {
			w.rest(ctx, fmt.Sprintf("the server gives no orders: %v", err), askWithin)
		}
	}
}

// next waits for an order; nil if there was none for a while. The error is the server's.
func next(ctx context.Context, queue jetstream.Consumer) (jetstream.Msg, error) {
	within, stop := context.WithTimeout(ctx, 2*askWithin)
	defer stop()
	msg, err := queue.Next(jetstream.FetchContext(within))
	if errors.Is(err, context.DeadlineExceeded) || errors.Is(err, nats.ErrTimeout) || errors.Is(err, jetstream.ErrNoMessages) {
		err = nil
	}
	return msg, err
}

// rest takes no orders for a while, and has the beats say why.
func (w *Worker) rest(ctx context.Context, why string, long time.Duration) {
	w.say(why)
	select {
	case <-ctx.Done():
	case <-time.After(long):
	}
}

// say has the beats tell of trouble, "" of none.
func (w *Worker) say(trouble string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if trouble != w.trouble && trouble != "" {
		w.Log.Warn(trouble)
	}
	w.trouble = trouble
}

// transportError is the network's, the server's or the store's, and no fault of a worker.
type transportError struct{ error }

func (e transportError) Unwrap() error { return e.error }

func transport(err error) error {
	if err == nil {
		return nil
	}
	return transportError{err}
}

// handle makes an order, or says what became of it.
func (w *Worker) handle(ctx context.Context, msg jetstream.Msg, objects store) {
	o, err := readOrder(msg.Data())
	if err != nil {
		w.Log.Warn("an order that cannot be read", zap.Error(err))
		msg.Term()
		return
	}
	if err := w.reserve(o.scratch()); err != nil {
		msg.NakWithDelay(askWithin)
		w.rest(ctx, err.Error(), pause)
		w.say("")
		return
	}
	defer w.free(o.scratch())
	h := &held{w: w, msg: msg, inHand: inHand{ID: o.ID, Owner: o.Owner, Stage: "asking"}}
	w.take(h)
	defer w.drop(h)
	err = w.guarded(ctx, h, &o, objects)
	var moving transportError
	switch log := w.Log.With(zap.String("order", o.ID)); {
	case err == nil:
		log.Info("made", zap.Float64("megapixels", megapixels(&o.Recipe)))
		msg.Ack()
	case ctx.Err() != nil:
		log.Info("given back")
		msg.Nak()
	case errors.Is(err, errGone):
		log.Info("not needed any more")
		msg.Term()
	case errors.Is(err, errBanned): // for another worker
		msg.Nak()
		w.rest(ctx, err.Error(), pause)
		w.say("")
	case errors.As(err, &moving):
		log.Warn("given back", zap.Error(err))
		msg.NakWithDelay(askWithin)
	default:
		log.Error("not made", zap.Error(err))
		w.ask(ctx, &o, request{Ask: askFail, Why: err.Error()})
		msg.Term()
	}
}

// guarded is make with a panic made into an error.
func (w *Worker) guarded(ctx context.Context, h *held, o *order, objects store) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v", p)
		}
	}()
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	return w.make(ctx, h, o, objects)
}

// make takes the order, makes its strips and hands them over.
func (w *Worker) make(ctx context.Context, h *held, o *order, objects store) error {
	if err := w.ask(ctx, o, request{Ask: askTake}); err != nil {
		return err
	}
	dir, err := os.MkdirTemp(w.Scratch, scratchPrefix)
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	src, profiles, err := w.fetch(ctx, h, o, objects, dir)
	if err != nil {
		return err
	}
	defer src.Close()
	f, err := os.Create(filepath.Join(dir, "strips"))
	if err != nil {
		return err
	}
	defer f.Close()
	done, err := w.strips(ctx, h, o, src, profiles, f)
	if err != nil {
		return err
	}
	src.Close()
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	if err := objects.put(ctx, o.Owner, done.Result, f, w.moving(h, "sending", done.Result.Bytes)); err != nil {
		return transport(err)
	}
	if err = w.ask(ctx, o, done); err != nil {
		objects.remove(context.WithoutCancel(ctx), o.Owner, done.Result)
	}
	return err
}

// ask asks the owner until it answers. The error is errGone if it says no, or if there is
// no owner: then its orders are gone with it.
func (w *Worker) ask(ctx context.Context, o *order, r request) error {
	r.ID, r.Worker, r.Run = o.ID, w.Name, w.run
	data, err := json.Marshal(r)
	if err != nil {
		return err
	}
	for range 3 {
		within, stop := context.WithTimeout(ctx, askWithin)
		var msg *nats.Msg
		if msg, err = w.nc.RequestWithContext(within, ownerPrefix+o.Owner, data); err != nil {
			select { // whoever does not listen may be on the way back, as after a server's start
			case <-within.Done():
			case <-time.After(askWithin / 5):
			}
		}
		stop()
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			continue
		}
		var answer reply
		if err := json.Unmarshal(msg.Data, &answer); err != nil {
			return transport(err)
		}
		switch {
		case answer.Banned:
			return fmt.Errorf("%w: %s", errBanned, answer.Why)
		case !answer.OK:
			return errGone
		}
		return nil
	}
	if errors.Is(err, nats.ErrNoResponders) {
		return errGone
	}
	return transport(err)
}

// fetch brings the source and the profiles, and decodes the source.
func (w *Worker) fetch(ctx context.Context, h *held, o *order, objects store, dir string) (src *photo.Photo, p render.Profiles, err error) {
	path := filepath.Join(dir, "source")
	f, err := os.Create(path)
	if err != nil {
		return nil, p, err
	}
	err = objects.get(ctx, o.Owner, o.Source, f, w.moving(h, "fetching", o.Source.Bytes))
	if err := errors.Join(err, f.Close()); err != nil {
		return nil, p, transport(err)
	}
	if p.Output, err = profile(ctx, o, o.Output, objects); err != nil {
		return nil, p, err
	}
	if o.Profile != nil {
		if p.Source, err = profile(ctx, o, *o.Profile, objects); err != nil {
			return nil, p, err
		}
	}
	if o.Font != nil {
		if p.Face, err = face(ctx, o, objects, filepath.Join(dir, "font")); err != nil {
			return nil, p, err
		}
	}
	// A decoder shows no progress, and has a limit of its own on its time.
	decoding, over := context.WithCancel(ctx)
	go h.keep(decoding)
	defer over()
	limits := o.Limits
	if w.Memory > 0 && w.Memory < limits.MaxMemoryBytes {
		limits.MaxMemoryBytes = w.Memory
	}
	src, err = isolate.In(dir)(ctx, path, limits)
	return src, p, err
}

func profile(ctx context.Context, o *order, b blob, objects store) (*colour.Profile, error) {
	if b.Bytes > int64(o.Limits.MaxProfileBytes) && b.Bytes > int64(photo.DefaultLimits().MaxProfileBytes) {
		return nil, fmt.Errorf("a profile has length %d", b.Bytes)
	}
	var data bytes.Buffer
	if err := objects.get(ctx, o.Owner, b, &data, func(int) {}); err != nil {
		return nil, transport(err)
	}
	return colour.ParseProfile(data.Bytes())
}

func face(ctx context.Context, o *order, objects store, path string) (*caption.Face, error) {
	f, err := os.Create(path)
	if err != nil {
		return nil, err
	}
	err = objects.get(ctx, o.Owner, *o.Font, f, func(int) {})
	if err := errors.Join(err, f.Close()); err != nil {
		return nil, transport(err)
	}
	return caption.Open(path)
}

// strips makes the strips one after the other into f.
func (w *Worker) strips(ctx context.Context, h *held, o *order, src *photo.Photo, p render.Profiles, f *os.File) (done request, err error) {
	begun, sum := time.Now(), sha256.New()
	done.Ask = askDone
	to := io.MultiWriter(f, sum)
	opts := render.Options{Workers: w.Cores, Progress: func(n, of int) { h.step("printing", float64(n)/float64(max(of, 1))) }}
	err = render.Strips(ctx, o.Recipe, src, p, opts, func(strip []byte) error {
		if w.lie != nil {
			strip = w.lie(strip, len(done.Strips))
		}
		done.Strips = append(done.Strips, int64(len(strip)))
		done.Result.Bytes += int64(len(strip))
		_, err := to.Write(strip)
		return err
	})
	done.Result.SHA256 = hex.EncodeToString(sum.Sum(nil))
	w.mu.Lock()
	defer w.mu.Unlock()
	w.rates.made(&o.Recipe, time.Since(begun))
	return done, err
}

// moving hears how many bytes of an object have moved.
func (w *Worker) moving(h *held, stage string, of int64) func(int) {
	moved, since := int64(0), time.Now()
	return func(n int) {
		moved += int64(n)
		h.step(stage, float64(moved)/float64(max(of, 1)))
		w.mu.Lock()
		defer w.mu.Unlock()
		blend(&w.rates.Moved, float64(n)/1e6, time.Since(since))
		since = time.Now()
	}
}

// step notes that an order gets on, and tells the server now and then.
func (h *held) step(stage string, share float64) {
	h.w.mu.Lock()
	h.Stage, h.Share = stage, share
	h.Steps++
	tell := time.Since(h.told) > ackWait/6
	if tell {
		h.told = time.Now()
	}
	h.w.mu.Unlock()
	if tell {
		h.msg.InProgress()
	}
}

// keep has the order get on until ctx ends.
func (h *held) keep(ctx context.Context) {
	tick := time.NewTicker(ackWait / 6)
	defer tick.Stop()
	for {
		h.step("decoding", 0)
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

func (w *Worker) take(h *held) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.hand = append(w.hand, h)
}

func (w *Worker) drop(h *held) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.hand = slices.DeleteFunc(w.hand, func(x *held) bool { return x == h })
}

// keptFree is what a worker leaves free of its scratch disk.
const keptFree = 256 << 20

// reserve takes room on the scratch disk, before any of it is used. The files of the orders
// in hand count twice while they grow: rather refuse than fill the disk.
func (w *Worker) reserve(bytes int64) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	d, err := os.Open(w.Scratch)
	if err != nil {
		return err
	}
	defer d.Close()
	free, err := system.FreeBytes(int(d.Fd()))
	if err != nil {
		return err
	}
	if left := int64(min(free, 1<<62)) - keptFree - w.reserved; bytes > left {
		return remedy.Errorf("make room there, or give another directory with --scratch", "%s has no room for a print: it takes up to %d MiB, and %d MiB are left", w.Scratch, bytes>>20, max(left, 0)>>20)
	}
	w.reserved += bytes
	return nil
}

func (w *Worker) free(bytes int64) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.reserved -= bytes
}

// beat says what there is of this worker, until ctx ends, and then that it leaves.
func (w *Worker) beat(ctx context.Context) {
	tick := time.NewTicker(beatEvery)
	defer tick.Stop()
	for {
		w.publish(ctx.Err() != nil)
		select {
		case <-ctx.Done():
			w.publish(true)
			return
		case <-tick.C:
		}
	}
}

func (w *Worker) publish(leaves bool) {
	w.mu.Lock()
	b := beat{
		Worker: w.Name, Run: w.run, Program: version.Version(), Recipe: render.RecipeVersion, Fingerprint: w.print,
		Prints: w.Prints, Rates: w.rates, Trouble: w.trouble, Leaves: leaves || w.stopping(),
	}
	for _, h := range w.hand {
		b.Hand = append(b.Hand, h.inHand)
	}
	w.mu.Unlock()
	data, err := json.Marshal(b)
	if err == nil && w.nc.IsConnected() {
		w.nc.Publish(beatSubject, data)
	}
}
