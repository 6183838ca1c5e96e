package daemon

import (
	"context"
	"slices"
	"time"

	"github.com/coreos/go-systemd/v22/daemon"
	"go.uber.org/zap"

	"sizewright/internal/config"
	"sizewright/internal/intake"
	"sizewright/internal/order"
	"sizewright/internal/record"
)

const (
	// reportAfter is how long there must have been nothing to do before the report is
	// written.
	reportAfter = 2 * time.Second
	// reportEvery is how long work goes on before a report tells of it all the same.
	reportEvery = time.Hour
	// lookEvery is how often the loop looks at the clock.
	lookEvery = time.Second
	// gather is how long no more files must have come before the first of them is
	// taken: whose turn it is shows once they are all there.
	gather = 50 * time.Millisecond
)

// Serve makes whatever is dropped, until ctx ends. The print in hand is then
// given up and its original returned to its drop folder, which takes no
// longer than one band. The error is for what stops the daemon, a cancelled
// ctx not included.
func Serve(ctx context.Context, o Options) error {
	w, leave, err := open(ctx, o)
	if err != nil {
		return err
	}
	defer leave()
	l := &loop{worker: w, earlier: w.newTelling(), queue: newQueue(), ended: make(chan attempted), wrote: make(chan reported), changed: make(chan []record.Fault, 1), dog: newWatchdog(w.Log), herald: newHerald(w.notify)}
	defer l.herald.close()
	l.watch(ctx)
	tell(w.Log, daemon.SdNotifyReady)
	defer tell(w.Log, daemon.SdNotifyStopping)
	w.Log.Info("serving", zap.String("studio", w.Studio.Root()))
	l.run(ctx)
	w.Log.Info("stopped")
	return nil
}

// loop is the daemon's one goroutine that decides.
type loop struct {
	*worker
	queue   *queue
	orders  int // in hand
	ended   chan attempted
	dog     *watchdog
	working bool // orders were taken since the last report
	herald  *herald
	said    []string // by the last report, of what was not made

	earlier *telling      // of nights that an earlier run left untold
	telling chan struct{} // closed when they are told, or given up; nil before they begin to be
	writing bool          // a report, beside the loop
	wrote   chan reported // and how that came out

	watcher  *intake.Watcher
	offered  chan intake.Candidate
	hush     <-chan time.Time // nil but while files are coming
	came     time.Time        // the first of them
	unwatch  context.CancelFunc
	oddities int // told of in the last report

	report, begun time.Time // when one is due, zero for none; and when the last was begun
	retried       time.Time // when undone ends were last tried again

	looking bool // at originals in doubt
	changed chan []record.Fault
}

// attempted is a candidate whose order has come to an end.
type attempted struct {
	intake.Candidate
	outcome
}

func (l *loop) run(ctx context.Context) {
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	l.begun = time.Now()
	for {
		if l.hush == nil {
			l.begin(ctx)
		}
		select {
		case <-ctx.Done():
			l.stop()
			return
		case r := <-l.wrote:
			l.written(r)
		case c := <-l.offered:
			l.add(c, time.Now())
		case <-l.hush:
			l.hush = nil
		case e := <-l.ended:
			l.end(e)
		case <-l.Reload:
			if l.reload() {
				l.unwatch()
				l.watch(ctx)
			} else if l.report.IsZero() && !l.working {
				l.beginNight()
				l.report = time.Now().Add(reportAfter)
			}
		case all := <-l.changed:
			l.onChanged(all)
		case <-tick.C:
			l.look(ctx)
			l.lookBack(ctx)
		}
	}
}

// watch starts looking at the drop folders, as the configuration says now. What was
// queued is found again, and keeps its turn.
func (l *loop) watch(ctx context.Context) {
	l.queue.anew()
	l.watcher, l.offered = intake.New(l.Studio.Drop(), l.intake()), make(chan intake.Candidate)
	ctx, l.unwatch = context.WithCancel(ctx)
	go l.watcher.Run(ctx, l.offered)
}

// add queues a candidate, and has begin wait for those that come with it, though not
// for ever.
func (l *loop) add(c intake.Candidate, now time.Time) {
	l.queue.add(c, l.takes(c), now)
	if l.hush == nil {
		l.came = now
	}
	l.hush = nil
	if now.Sub(l.came) < oneLot {
		l.hush = time.After(gather)
	}
}

// begin takes in hand what may be.
func (l *loop) begin(ctx context.Context) {
	now, cfg := l.Now(), l.configuration()
	room := func() int64 { bytes, _ := l.room(cfg); return bytes } // an error is told by who reserves
	var resting time.Time
	if !cfg.Between.Has(now) {
		resting = cfg.Between.Next(now)
	}
	for resting.IsZero() && l.orders < inHand && ctx.Err() == nil {
		c, ok := l.queue.next(time.Now(), room)
		if !ok {
			break
		}
		if !l.working {
			l.working = true
			l.beginNight()
		}
		l.report = time.Time{}
		l.orders++
		go func() { l.ended <- attempted{c, l.attempt(ctx, c)} }()
	}
	l.waits(len(l.queue.waiting), resting)
}

func (l *loop) end(e attempted) {
	l.orders--
	l.queue.ended(e.Candidate, e.outcome, time.Now())
	if e.how != settled {
		l.watcher.Forget(e.Folder, e.Name) // offered again at the next rescan, if not before
	}
	if l.orders == 0 {
		l.report = time.Now().Add(reportAfter)
	}
}

// look does what is due by the clock.
func (l *loop) look(ctx context.Context) {
	now := time.Now()
	l.stay(append(unwhole(l.watcher.Oddities()), l.queue.stays()...))
	l.dog.look(now, l.watcher.Looked(), now.Add(-2*l.configuration().Rescan-time.Minute),
		l.hand.work(l.orders > 0), l.reporting.work(l.writing), l.retelling.work(l.tellingNow()))
	if now.Sub(l.retried) >= firstPause {
		l.retried = now
		l.finishUndone()
	}
	if l.report.IsZero() && !l.working && l.worthTelling() != l.oddities {
		l.beginNight()
		l.report = now.Add(reportAfter)
	}
	due := !l.report.IsZero() && !now.Before(l.report)
	if due || l.report.IsZero() && !l.working {
		l.tellOnce(ctx)
	}
	switch {
	case l.writing: // one at a time; it is still due afterwards
	case due:
		l.endRun(true)
	case l.working && now.Sub(l.begun) >= reportEvery:
		l.endRun(false)
	}
}

// tellOnce has the nights that an earlier run left untold told beside the loop, from the
// first moment on when no order waits for it.
func (l *loop) tellOnce(ctx context.Context) {
	if l.telling != nil {
		return
	}
	l.telling = make(chan struct{})
	go func() {
		defer close(l.telling)
		l.earlier.run(ctx)
	}()
}

// tellingNow tells whether they are being told.
func (l *loop) tellingNow() bool {
	if l.telling == nil {
		return false
	}
	select {
	case <-l.telling:
		return false
	default:
		return true
	}
}

// worthTelling counts what was left alone, but for litter.
func (l *loop) worthTelling() (n int) {
	for _, x := range l.watcher.Oddities() {
		if x.Kind != intake.KindLitter {
			n++
		}
	}
	return n
}

// stop waits for what is in hand to be given back, and reports.
func (l *loop) stop() {
	l.unwatch()
	for ; l.orders > 0; l.orders-- {
		<-l.ended
	}
	if l.writing {
		l.written(<-l.wrote)
	}
	if l.working {
		if l.endRun(true); l.writing {
			l.written(<-l.wrote)
		}
	}
	if l.telling != nil {
		<-l.telling
	}
}

// reported is how the writing of a report came out.
type reported struct {
	night record.Night // told of, and begun anew since; empty where the work goes on
	over  bool         // the work that it tells of
	says  []string
	page  string
	facts []byte
	err   error
}

// endRun has the report written of the work since nothing was in hand last, or of the work
// so far where it is not over. It is written beside the loop, which hears of it by written:
// what is noted meanwhile is for the next. Where nothing was made and all that was left is
// as the last report said, there is none.
func (l *loop) endRun(over bool) {
	l.report, l.begun, l.oddities = time.Time{}, time.Now(), l.worthTelling()
	l.tellSetbacks()
	l.lookAround(l.watcher.Oddities(), func(x record.Left) { l.note(x) })
	r := reported{over: over}
	var day record.Night
	var c *config.Config
	if over {
		day, c, r.night = l.endNight()
		l.working = false
	} else {
		day, c = l.toReport()
	}
	if r.says = saysOf(day); len(day.Records) == 0 && slices.Equal(r.says, l.said) {
		return
	}
	l.writing = true
	go func() {
		if r.err = l.earlier.begin(); r.err == nil {
			r.page, r.facts, r.err = l.worker.report(day, c)
		}
		l.wrote <- r
	}()
}

// written hears of a report that was written, or not.
func (l *loop) written(r reported) {
	l.writing = false
	if r.err != nil {
		l.Log.Error("no morning report", zap.Error(r.err))
		if r.over { // what it would tell is on record
			l.stillNight(r.night)
			if !l.working && l.report.IsZero() {
				l.report = time.Now().Add(longPause)
			}
		}
		return
	}
	l.said = r.says
	l.Log.Info("morning report", zap.String("page", r.page))
	if r.facts != nil {
		l.herald.tell(r.facts)
	}
}

// unwhole are the files among oddities that any look takes for photographs, and the
// folders that are closed to this process, if not to whoever looks.
func unwhole(odd []intake.Oddity) (all []Stay) {
	for _, x := range odd {
		if x.Kind == intake.KindUnfinished || x.Kind == intake.KindUnreadable {
			all = append(all, Stay{Folder: x.Folder, Name: x.Name, Text: x.Text})
		}
	}
	return all
}

// takes is about how long a candidate takes to make. One that was in hand more than
// once when the daemon died is to come after others, as if it took minutes longer.
func (l *loop) takes(c intake.Candidate) time.Duration {
	o, err := order.NewOrder(c.Folder, l.configuration())
	if err != nil {
		return 0
	}
	takes := time.Duration(megapixels(o) * secondsPerMegapixel * float64(time.Second))
	if n := l.Studio.Interruptions(c.Folder, c.Name, c.Size, c.ModTime); n > 1 {
		takes += time.Duration(n) * time.Minute
	}
	return takes
}

func tell(log *zap.Logger, state string) {
	if _, err := daemon.SdNotify(false, state); err != nil {
		log.Warn("systemd was not told", zap.String("state", state), zap.Error(err))
	}
}

func zapFault(f record.Fault) []zap.Field {
	return []zap.Field{zap.String("folder", f.Folder), zap.String("name", f.Name), zap.String("what", f.Text)}
}
