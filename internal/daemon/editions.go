package daemon

import (
	"slices"
	"sync"
	"time"

	"sizewright/internal/edition"
	"sizewright/internal/order"
	"sizewright/internal/studio"
)

// editions gives the numbers of editions, by the studio's ledger. What the ledger may have
// lost is restored first: the numbers on record, and those that this run gave.
type editions struct {
	studio *studio.Studio
	known  *known
	now    func() time.Time

	mu    sync.Mutex
	given []edition.Line // by this run, since it began
}

// give gives a claim the next numbers, which are safely in the ledger when it returns. The
// records of earlier runs are read by then.
func (e *editions) give(of edition.Picture, copies int, claim string) (numbers []int, err error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	err = e.studio.Editions(func(data []byte) ([]byte, error) {
		l, err := edition.Parse(data)
		if err != nil {
			return nil, err
		}
		l.Restore(slices.Concat(e.known.Numbers(), e.given))
		given, err := l.Give(of, copies, claim, e.now())
		if err != nil {
			return nil, err
		}
		e.given = append(e.given, given...)
		for _, g := range given {
			numbers = append(numbers, g.Number)
		}
		return l.Bytes(), nil
	})
	return numbers, err
}

// free takes back the numbers of a claim that came to no print. Where it fails they stay
// given.
func (e *editions) free(claim string) error {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.studio.Editions(func(data []byte) ([]byte, error) {
		l, err := edition.Parse(data)
		if err != nil || !l.Free(claim, e.now()) {
			return nil, err
		}
		e.given = slices.DeleteFunc(e.given, func(x edition.Line) bool { return x.Claim == claim })
		return l.Bytes(), nil
	})
}

// number gives the copies of a numbered order their numbers, before the recipes that show
// them. The earlier prints' records are read: see [job.already].
func (j *job) number() error {
	o := j.decision.Order
	if !o.Numbered() {
		return nil
	}
	numbers, err := j.give(o.Picture(), max(1, o.Settings.Copies))
	if full := order.UsedUp(j.rec.Source.Name, err); full != nil {
		return full
	}
	if err == nil {
		j.decision.Number(numbers)
	}
	return err
}
