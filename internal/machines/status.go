package machines

import (
	"cmp"
	"net/url"
	"slices"
	"strings"
	"time"
)

// Status is what an owner knows of other machines.
type Status struct {
	Server  string         `json:"server"` // its address, without a password
	Reached bool           `json:"reached"`
	Since   time.Time      `json:"away_since,omitzero"`  // it is not reached
	Rests   time.Time      `json:"rests_until,omitzero"` // no orders are sent, after trouble
	Rates   Rates          `json:"rates"`                // of this machine
	Workers []WorkerStatus `json:"workers"`              // by name
}

// WorkerStatus is a worker as it was last heard.
type WorkerStatus struct {
	Name    string       `json:"name"`
	Program string       `json:"program"`
	Prints  int          `json:"prints"` // that it makes at a time
	Heard   time.Time    `json:"heard"`
	Idle    string       `json:"given_nothing,omitempty"` // why it is given no orders
	Hand    []OrderThere `json:"in_hand"`
	Rates   Rates        `json:"rates"`
}

// OrderThere is an order that a worker has in hand.
type OrderThere struct {
	Ours  bool    `json:"ours"` // else another studio's
	Stage string  `json:"stage"`
	Share float64 `json:"share"` // of the stage
}

// Status is nil for a nil Owner.
func (o *Owner) Status() *Status {
	if o == nil {
		return nil
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	s := &Status{Server: redacted(o.server.URL), Reached: o.objects != nil, Since: o.away.Truncate(time.Second), Rates: o.rates.Rates.rounded(), Workers: []WorkerStatus{}}
	if o.rests.After(time.Now()) {
		s.Rests = o.rests.Truncate(time.Second)
	}
	for _, w := range o.workers {
		x := WorkerStatus{Name: w.Worker, Program: w.Program, Prints: w.Prints, Heard: w.heard.Truncate(time.Second), Idle: o.fit(w), Hand: []OrderThere{}, Rates: w.Rates.rounded()}
		for _, h := range w.Hand {
			x.Hand = append(x.Hand, OrderThere{h.Owner == o.id, h.Stage, h.Share})
		}
		s.Workers = append(s.Workers, x)
	}
	slices.SortFunc(s.Workers, func(a, b WorkerStatus) int { return cmp.Or(cmp.Compare(a.Name, b.Name), b.Heard.Compare(a.Heard)) })
	return s
}

// redacted are addresses without passwords.
func redacted(urls string) string {
	all := strings.Split(urls, ",")
	for i, u := range all {
		if at, err := url.Parse(strings.TrimSpace(u)); err == nil {
			at.User = nil
			all[i] = at.String()
		}
	}
	return strings.Join(all, ",")
}
