//go:build linux

package main

import (
	"cmp"
	"container/heap"
	"fmt"
)

// Every machine has two cores, and every order a picture of its own.
const cores = 2

// The model: one order after the other is read by the daemon, on one core. Then it is made
// by a worker, if one is free and that is worth it, or else in the studio: its source goes to the
// server and from there to the worker, its result back in the same way, each through the
// server's connection, which is as fast in either direction. About half of what the daemon
// spends on such a print is before it is sent, half after it came back.
type sim struct {
	costs
	bytes     float64 // a second
	now, ends float64
	events    events

	cores, in, out, hands, press *resource
	orders, most, made           int // in hand, at most, and made
}

// simulate returns how many prints are made in so many seconds, and what is busiest.
func simulate(c costs, workers int, bytes, seconds float64) (prints int, busiest string) {
	s := &sim{costs: c, bytes: bytes, ends: seconds, most: 3 + workers}
	s.cores, s.press, s.hands = &resource{name: "the studio's cores", free: cores}, &resource{name: "press", free: 1}, &resource{name: "workers", free: workers}
	s.in, s.out = &resource{name: "the server's connection", free: 1}, &resource{name: "the server's connection", free: 1}
	s.read()
	for len(s.events) > 0 {
		e := heap.Pop(&s.events).(event)
		if e.at > seconds {
			break
		}
		s.now = e.at
		e.do()
	}
	most := 0.0
	for _, r := range []*resource{s.cores, s.in, s.out, s.hands} {
		n := map[*resource]int{s.cores: cores, s.hands: workers}[r]
		if share := r.busy / seconds / float64(max(n, 1)); share > most {
			most, busiest = share, fmt.Sprintf("%s, %.0f %%", r.name, 100*min(share, 1))
		}
	}
	return s.made, busiest
}

// resource does some things at a time; others wait in turn.
type resource struct {
	name    string
	free    int
	busy    float64 // seconds
	waiting []func()
}

// take has do called when the resource is free.
func (s *sim) take(r *resource, do func()) {
	if r.free == 0 {
		r.waiting = append(r.waiting, do)
		return
	}
	r.free--
	do()
}

func (s *sim) release(r *resource) {
	if len(r.waiting) > 0 {
		next := r.waiting[0]
		r.waiting = r.waiting[1:]
		next()
		return
	}
	r.free++
}

// use takes a resource for a time, in pieces of a second between which others come.
func (s *sim) use(r *resource, seconds float64, then func()) {
	piece := min(seconds, 1)
	s.take(r, func() {
		r.busy += min(piece, max(0, s.ends-s.now))
		s.after(piece, func() {
			s.release(r)
			if seconds > piece {
				s.use(r, seconds-piece, then)
			} else {
				then()
			}
		})
	})
}

func (s *sim) after(seconds float64, do func()) {
	heap.Push(&s.events, event{s.now + seconds, len(s.events), do})
}

// read reads the next order, and begins with the one after it.
func (s *sim) read() {
	if s.orders >= s.most {
		s.after(0.5, s.read)
		return
	}
	s.orders++
	s.use(s.cores, s.reading(), s.place)
}

// reading is what the daemon spends before a print is made, wherever that is.
func (s *sim) reading() float64 { return min(s.daemon, s.costs.here) / 2 }

// place waits, with the order read, for the press or a worker.
func (s *sim) place() {
	switch {
	case s.hands.free > 0 && s.worth():
		s.take(s.hands, s.there)
	case s.press.free > 0:
		s.take(s.press, s.here)
	default:
		s.after(0.1, s.place)
		return
	}
	s.read()
}

// worth is the daemon's own rule: to send, fetch and check takes less time than to make.
func (s *sim) worth() bool {
	return (s.sent+s.fetched)/s.bytes+s.daemon/2 < s.costs.here/cores
}

func (s *sim) here() {
	left := cores
	for range cores {
		s.use(s.cores, (s.costs.here-s.reading())/cores, func() {
			if left--; left == 0 {
				s.release(s.press)
				s.done()
			}
		})
	}
}

func (s *sim) there() {
	began := s.now
	s.use(s.in, s.sent/s.bytes, func() {
		s.use(s.out, s.sent/s.bytes, func() {
			s.after(s.worker/cores, func() {
				s.use(s.in, s.fetched/s.bytes, func() {
					s.hands.busy += min(s.now, s.ends) - began
					s.release(s.hands)
					s.use(s.out, s.fetched/s.bytes, func() { s.use(s.cores, s.daemon-s.reading(), s.done) })
				})
			})
		})
	})
}

func (s *sim) done() { s.orders--; s.made++ }

// event is what happens at a time.
type event struct {
	at   float64
	turn int
	do   func()
}

type events []event

func (e events) Len() int { return len(e) }
func (e events) Less(i, j int) bool {
	return cmp.Or(cmp.Compare(e[i].at, e[j].at), cmp.Compare(e[i].turn, e[j].turn)) < 0
}
func (e events) Swap(i, j int) { e[i], e[j] = e[j], e[i] }
func (e *events) Push(x any)   { *e = append(*e, x.(event)) }
func (e *events) Pop() any {
	last := (*e)[len(*e)-1]
	*e = (*e)[:len(*e)-1]
	return last
}
