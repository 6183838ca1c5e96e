package daemon

import (
	"slices"
	"sync"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/plaintext"
	"sizewright/internal/record"
)

// nightLog gathers what a run's next report is to tell.
type nightLog struct {
	log  *zap.Logger
	now  func() time.Time
	date func(time.Time) string // of the night that a time belongs to

	mu     sync.Mutex
	night  record.Night
	before []record.Left // of the report before, and logged then
}

// begin has the night's work begin now. What was noted since the last report, what an
// earlier run left for one, stays part of it.
func (n *nightLog) begin() {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.night.Started = n.now()
}

// leave notes what was left alone in the drop folders, once each, and logs it unless the
// report before told of it already.
func (n *nightLog) leave(l record.Left) {
	l.Text, l.Remedy = plaintext.Line(l.Text), plaintext.Line(l.Remedy)
	n.mu.Lock()
	told := slices.Contains(n.before, l)
	n.mu.Unlock()
	if n.note(l) && !told {
		what := "left alone"
		if l.Undone() {
			what = "not made"
		}
		n.log.Warn(what, zap.String("folder", l.Folder), zap.String("name", l.Name), zap.String("why", l.Why()))
	}
}

// note is leave for what others have logged. It tells whether that is new.
func (n *nightLog) note(l record.Left) (anew bool) {
	l.Text, l.Remedy = plaintext.Line(l.Text), plaintext.Line(l.Remedy)
	n.mu.Lock()
	defer n.mu.Unlock()
	if l.Undone() { // told anew as it is now: more pictures may wait, or for another reason
		n.night.Left = slices.DeleteFunc(n.night.Left, func(x record.Left) bool {
			return x != l && x.Undone() && x.Folder == l.Folder && x.Name == l.Name
		})
	}
	return addNew(&n.night.Left, l)
}

// fault notes what went wrong, once each.
func (n *nightLog) fault(f record.Fault) {
	f.Text, f.Remedy = plaintext.Line(f.Text), plaintext.Line(f.Remedy)
	n.mu.Lock()
	defer n.mu.Unlock()
	addNew(&n.night.Faults, f)
}

// made notes how an order ended. What kept it waiting before is over.
func (n *nightLog) made(e record.Entry) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.night.Records = append(n.night.Records, e)
	folder, name := e.Record.Order.Folder, e.Record.Source.Name
	n.night.Left = slices.DeleteFunc(n.night.Left, func(l record.Left) bool { return l.Folder == folder && l.Name == name })
	n.night.Faults = slices.DeleteFunc(n.night.Faults, func(f record.Fault) bool { return f.Folder == folder && f.Name == name })
}

// soFar is the night until now, for a report that others may add to meanwhile.
func (n *nightLog) soFar() record.Night {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.until()
}

// end is soFar and begins anew. before is what there was, for [nightLog.restore].
func (n *nightLog) end() (day, before record.Night) {
	n.mu.Lock()
	defer n.mu.Unlock()
	day, before = n.until(), n.night
	n.before = n.night.Left
	n.night = record.Night{Started: n.now()}
	return day, before
}

// until needs n.mu.
func (n *nightLog) until() record.Night {
	n.night.Finished = n.now()
	n.night.Date = n.date(n.night.Finished)
	slices.SortStableFunc(n.night.Records, func(a, b record.Entry) int { return a.Record.Times.Claimed.Compare(b.Record.Times.Claimed) })
	day := n.night
	day.Records, day.Left, day.Faults = slices.Clone(day.Records), slices.Clone(day.Left), slices.Clone(day.Faults)
	return day
}

// restore puts a night back that could not be told, before what there is to tell by now.
func (n *nightLog) restore(before record.Night) {
	n.mu.Lock()
	defer n.mu.Unlock()
	since := n.night
	n.night = before
	n.night.Records = append(n.night.Records, since.Records...)
	addNew(&n.night.Left, since.Left...)
	addNew(&n.night.Faults, since.Faults...)
}

// addNew adds what is not there yet, and tells whether that was the last of them.
func addNew[T comparable](to *[]T, more ...T) (anew bool) {
	for _, x := range more {
		if anew = !slices.Contains(*to, x); anew {
			*to = append(*to, x)
		}
	}
	return anew
}
