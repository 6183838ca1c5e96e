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
	r, leave, err := open(ctx, o)
	if err != nil {
		return err
	}
	defer leave()
	l := newLoop(r)
	defer l.notifier.close()
	l.watch(ctx)
	sdNotify(r.Log, daemon.SdNotifyReady)
	defer sdNotify(r.Log, daemon.SdNotifyStopping)
	r.Log.Info("serving", zap.String("studio", r.Studio.Root()))
	l.serve(ctx)
	r.Log.Info("stopped")
	return nil
}

// loop is the daemon's one goroutine that decides.
type loop struct {
	*run
	queue    *queue
	orders   int           // in hand
	inWork   time.Duration // about what those take
	pace     Pace          // of the work; it starts over after a rest and with new settings
	ended    chan attempted
	dog      *watchdog
	working  bool // orders were taken since the last report
	notifier *notifier
	said     []string // by the last report, of what was not made

	earlier     *backfill     // of nights that an earlier run left unreported
	backfilling chan struct{} // closed when they are told, or given up; nil before they begin to be
	writing     bool          // a report, beside the loop
	wrote       chan reported // and how that came out

	watcher *intake.Watcher
	offered chan intake.Candidate
	quiet   <-chan time.Time // ends the wait for more files; nil but while they are coming
	came    time.Time        // the first of them
	unwatch context.CancelFunc
	left    int // told of in the last report

	due, begun time.Time // when a report is due, zero for none; and when the last was begun
	retried    time.Time // when unfinished ends were last tried again

	rechecking bool // originals
	changed    chan []record.Fault

	looked  time.Time     // at printed/
	looking chan struct{} // closed when that is over; nil before the first
}

func newLoop(r *run) *loop {
	return &loop{
		run: r, earlier: r.newBackfill(), queue: newQueue(), ended: make(chan attempted), wrote: make(chan reported),
		changed: make(chan []record.Fault, 1), dog: newWatchdog(r.Log), notifier: newNotifier(r.notify),
	}
}

// attempted is a candidate whose order has come to an end.
type attempted struct {
	intake.Candidate
	takes time.Duration // about
	outcome
}

func (l *loop) serve(ctx context.Context) {
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	l.begun = time.Now()
	for {
		if l.quiet == nil {
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
		case <-l.quiet:
			l.quiet = nil
		case e := <-l.ended:
			l.end(e)
		case <-l.Reload:
			if l.reload() {
				l.unwatch()
				l.watch(ctx)
			} else {
				l.reportSoon()
			}
		case all := <-l.changed:
			l.onChanged(all)
		case <-tick.C:
			l.tick(ctx)
			l.recheck(ctx)
			l.lookAtMoved(ctx)
		}
	}
}

// watch starts looking at the drop folders, as the configuration says now. What was
// queued is found again, and keeps its turn.
func (l *loop) watch(ctx context.Context) {
	l.queue.anew()
	l.tracker.waiting(0, 0)
	l.pace = Pace{}
	l.watcher, l.offered = intake.New(l.Studio.Drop(), l.intake()), make(chan intake.Candidate)
	ctx, l.unwatch = context.WithCancel(ctx)
	go l.watcher.Run(ctx, l.offered)
}

// add queues a candidate, and has begin wait for those that come with it, though not
// for ever.
func (l *loop) add(c intake.Candidate, now time.Time) {
	if _, err := order.NewOrder(c.Folder, l.configuration()); err != nil {
		l.reportSoon() // which tells of the folder, and how many pictures wait there
		return
	}
	l.queue.add(c, l.takes(c), now)
	if l.quiet == nil {
		l.came = now
	}
	l.quiet = nil
	if now.Sub(l.came) < oneLot {
		l.quiet = time.After(gather)
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
	for resting.IsZero() && l.orders < l.mostInHand() && ctx.Err() == nil {
		c, ok := l.queue.next(time.Now(), room)
		if !ok {
			break
		}
		if !l.working {
			l.working = true
			l.night.begin()
		}
		l.due = time.Time{}
		l.orders++
		takes := l.takes(c)
		l.inWork += takes
		go func() { l.ended <- attempted{c, takes, l.attempt(ctx, c)} }()
	}
	orders, takes := len(l.queue.waiting)+l.orders, l.queue.takes()+l.inWork
	if !resting.IsZero() {
		orders, takes = 0, 0
	}
	l.tracker.waiting(orders, takes)
	l.pace.Waiting(orders, takes, now)
	l.noteStatus(func(s *Status) {
		s.Queued, s.Resting, s.Ends = len(l.queue.waiting), resting, time.Time{}
		if left := l.pace.Left(now); left > 0 {
			s.Ends = cfg.Between.After(now, left)
		}
	})
}

func (l *loop) end(e attempted) {
	l.orders--
	l.inWork -= e.takes
	l.queue.ended(e.Candidate, e.outcome, time.Now())
	if e.how != finished {
		l.watcher.Forget(e.Folder, e.Name) // offered again at the next rescan, if not before
	}
	if l.orders == 0 {
		l.due = time.Now().Add(reportAfter)
	}
}

// tick does what is due by the clock.
func (l *loop) tick(ctx context.Context) {
	now := time.Now()
	stays := append(incomplete(l.watcher.LeftAlone()), l.queue.stays()...)
	l.noteStatus(func(s *Status) { s.Stays = stays })
	l.dog.check(now, l.watcher.Looked(), now.Add(-2*l.configuration().Rescan-time.Minute),
		l.tracker.work(l.orders > 0), l.reporting.work(l.writing), l.backfilled.work(l.backfilling != nil && !closed(l.backfilling)))
	if now.Sub(l.retried) >= firstPause {
		l.retried = now
		l.unfinished.retry()
	}
	if l.countLeft() != l.left {
		l.reportSoon()
	}
	due := !l.due.IsZero() && !now.Before(l.due)
	if due || l.idle() {
		l.backfillOnce(ctx)
	}
	switch {
	case l.writing: // one at a time; it is still due afterwards
	case due:
		l.endRun(true)
	case l.working && now.Sub(l.begun) >= reportEvery:
		l.endRun(false)
	}
}

// idle tells whether there is nothing to do and nothing to report.
func (l *loop) idle() bool { return l.due.IsZero() && !l.working }

// reportSoon has a report written though nothing was made, unless one is due anyway.
func (l *loop) reportSoon() {
	if l.idle() {
		l.night.begin()
		l.due = time.Now().Add(reportAfter)
	}
}

// backfillOnce has the nights that an earlier run left unreported told beside the loop, from the
// first moment on when no order waits for it.
func (l *loop) backfillOnce(ctx context.Context) {
	if l.backfilling != nil {
		return
	}
	l.backfilling = make(chan struct{})
	go func() {
		defer close(l.backfilling)
		l.earlier.write(ctx)
	}()
}

// moveLook is how often printed/ is looked at.
const moveLook = 5 * time.Second

// lookAtMoved has printed/ looked at beside the loop.
func (l *loop) lookAtMoved(ctx context.Context) {
	if now := time.Now(); now.Sub(l.looked) >= moveLook && (l.looking == nil || closed(l.looking)) {
		over := make(chan struct{})
		l.looked, l.looking = now, over
		go func() { defer close(over); l.seeMoved(ctx); l.tidy(ctx) }()
	}
}

// countLeft counts what was left alone, but for litter.
func (l *loop) countLeft() (n int) {
	for _, x := range l.watcher.LeftAlone() {
		if !x.Ignored() {
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
	for _, beside := range []chan struct{}{l.backfilling, l.looking} {
		if beside != nil {
			<-beside
		}
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
	l.due, l.begun, l.left = time.Time{}, time.Now(), l.countLeft()
	l.noteRetries()
	l.noteLeft(l.watcher.LeftAlone(), func(x record.Left) { l.night.note(x) })
	r := reported{over: over}
	var day record.Night
	if over {
		day, r.night = l.night.end()
		l.working = false
	} else {
		day = l.night.soFar()
	}
	day = l.settings.addFaults(day)
	if r.says = saysOf(day); len(day.Records) == 0 && slices.Equal(r.says, l.said) {
		return
	}
	l.writing = true
	c := l.configuration()
	go func() {
		if r.err = l.earlier.begin(); r.err == nil {
			r.page, r.facts, r.err = l.run.report(day, c)
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
			l.night.restore(r.night)
			if l.idle() {
				l.due = time.Now().Add(longPause)
			}
		}
		return
	}
	l.said = r.says
	l.Log.Info("morning report", zap.String("page", r.page))
	if r.facts != nil {
		l.notifier.send(r.facts)
	}
}

// incomplete are the files left alone that any look takes for photographs, and the
// folders that are closed to this process, if not to whoever looks.
func incomplete(left []intake.LeftAlone) (all []Stay) {
	for _, x := range left {
		if x.Kind == intake.KindUnfinished || x.Kind == intake.KindUnreadable {
			all = append(all, Stay{Folder: x.Folder, Name: x.Name, Text: x.Text, Remedy: x.Remedy})
		}
	}
	return all
}

// takes is about how long a candidate takes to make. One that was in hand more than
// once when the daemon died is to come after others, as if it took minutes longer.
func (r *run) takes(c intake.Candidate) time.Duration {
	o, err := order.NewOrder(c.Folder, r.configuration())
	if err != nil {
		return 0
	}
	seconds := megapixels(o) * secondsPerMegapixel
	if o.Settings.Enlarge == config.EnlargeLearned {
		seconds *= learnedTakes
	}
	takes := time.Duration(seconds * float64(time.Second))
	if n := r.Studio.Interruptions(c.Folder, c.Name, c.Size, c.ModTime); n > 1 {
		takes += time.Duration(n) * time.Minute
	}
	return takes
}

func sdNotify(log *zap.Logger, state string) {
	if _, err := daemon.SdNotify(false, state); err != nil {
		log.Warn("systemd was not told", zap.String("state", state), zap.Error(err))
	}
}

func zapFault(f record.Fault) []zap.Field {
	return []zap.Field{zap.String("folder", f.Folder), zap.String("name", f.Name), zap.String("what", f.Why())}
}
