package intake

import "time"

// plan is when to look next, and what the last look found to offer. It belongs
// to Run's goroutine.
type plan struct {
	ready    []Candidate
	earliest time.Time // no look before this, however much happens
	next     time.Time // zero: no look planned
	timer    *time.Timer
}

// looked notes a look. After a look that took long (thousands of files, a slow share)
// the pause is longer, so that looking does not load the machine.
func (p *plan) looked(ready []Candidate, began time.Time, glance time.Duration) {
	now := time.Now()
	p.ready = ready
	p.next = time.Time{}
	p.earliest = now.Add(max(glance, 4*now.Sub(began)))
}

// at plans a look, unless one is planned sooner.
func (p *plan) at(when time.Time) {
	if !p.next.IsZero() && !when.Before(p.next) {
		return
	}
	p.next = when
	if p.timer == nil {
		p.timer = time.NewTimer(time.Until(when))
		return
	}
	p.timer.Reset(time.Until(when))
}

// due delivers when the planned look is due. No look is made without it.
func (p *plan) due() <-chan time.Time { return p.timer.C }

func (p *plan) stop() { p.timer.Stop() }
