package daemon

import "time"

// Pace says how long the rest of a run of work takes: as long as what was made of it took,
// for each second of the estimate. The estimate alone says only which print takes longer.
type Pace struct {
	left        int           // orders, in hand or not
	takes, most time.Duration // for what is left and for all of it, by the estimate
	begun       time.Time     // when there was work first
}

// Waiting hears what is still to be made, in hand or not, and tells whether a run begins.
func (p *Pace) Waiting(orders int, takes time.Duration, now time.Time) (begins bool) {
	if begins = p.left == 0 && orders > 0; begins {
		*p = Pace{begun: now}
	}
	p.most += max(0, takes-p.takes)
	p.left, p.takes = orders, takes
	return begins
}

// Left is about how long the rest takes; 0 where that is not known, as nothing was made
// yet, or where there is none.
func (p *Pace) Left(now time.Time) time.Duration {
	made, took := p.most-p.takes, now.Sub(p.begun)
	if p.left == 0 || made <= 0 || took <= 0 {
		return 0
	}
	return time.Duration(float64(took) / float64(made) * float64(p.takes))
}
