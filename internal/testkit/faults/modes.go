//go:build linux

package faults

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"time"
)

// Options are the options of a mode.
type Options struct {
	Dir    string // for the trials; the caller makes and removes it
	Binary string // path of sizewright
	Seed   uint64
	Tries  int // 0: the mode's default
	Orders int // 0: the mode's default
	Say    func(format string, args ...any)
}

// Mode is one kind of bad night.
type Mode struct {
	Name   string
	Fault  string
	Tries  int
	Orders int
	run    func(context.Context, *modeRun) error
}

// Modes are all modes. The last is the soak, which takes long.
var Modes = []Mode{
	{"kills", "SIGKILL at any moment", 200, 300, kills},
	{"editions", "SIGKILL while prints get numbers, and the ledger of numbers lost", 50, 100, editions},
	{"full", "the disk fills up, and is given room", 12, 60, full},
	{"denied", "permission lost, and given back", 10, 50, denied},
	{"gone", "folders taken away, and put back or made anew", 8, 40, gone},
	{"clock", "the clock moved by up to years, forward and back", 20, 40, clock},
	{"files", "too few file handles", 8, 40, files},
	{"second", "a second daemon on the studio", 20, 20, second},
	{"hostile", "hostile files among pictures", 2, 20, hostile},
	{"workers", "SIGKILL of the owner, of workers and of the server between them", 200, 250, workers},
	{"stopped", "SIGSTOP of a worker for longer than the server waits, then SIGCONT", 4, 40, stopped},
	{"cut", "the network between the server and the owner or a worker cut", 20, 60, cut},
	{"soak", "all of these, for long", 40, 500, soak},
}

// modeRun is one run of a mode.
type modeRun struct {
	Options
	result *Result
	trial  *Trial
}

// begin creates the trial's studio.
func (t *modeRun) begin(uid int, s Settings) (*Trial, error) {
	n, err := NewTrial(filepath.Join(t.Dir, "night"), t.Binary, t.Seed, uid, s)
	if err != nil {
		return nil, err
	}
	n.Say, t.trial = t.Say, n
	return n, nil
}

// share returns how many of the trial's orders belong to try i.
func (t *modeRun) share(i int) int { return t.Orders*(i+1)/t.Tries - t.Orders*i/t.Tries }

// endTry ends the daemon of a try: sometimes by a kill, otherwise by a stop after a while. In
// the last try the daemon must finish by itself.
func (t *modeRun) endTry(ctx context.Context, d *Daemon, i int) {
	switch {
	case i == t.Tries-1:
	case i%3 == 2:
		d.Kill()
	default:
		asleep(ctx, time.Second)
		d.Stop()
	}
}

// Run runs one mode. The error says why the mode could not be tried.
func (m Mode) Run(ctx context.Context, o Options) (*Result, error) {
	if o.Say == nil {
		o.Say = func(string, ...any) {}
	}
	if o.Tries == 0 {
		o.Tries = m.Tries
	}
	if o.Orders == 0 {
		o.Orders = m.Orders
	}
	r, began := &Result{Fault: m.Fault, Tries: o.Tries}, time.Now()
	dir, err := os.MkdirTemp(o.Dir, m.Name+"-")
	if err != nil {
		return nil, err
	}
	if err := os.Chmod(dir, 0o755); err != nil { // for daemons of another user
		return nil, err
	}
	o.Dir = dir
	t := &modeRun{Options: o, result: r}
	if err := m.run(ctx, t); err != nil {
		return nil, fmt.Errorf("%s: %w", m.Name, err)
	}
	if t.trial != nil {
		r.Found = append(r.Found, t.trial.Judge()...)
		for _, order := range t.trial.Ledger.Orders() {
			r.Orders += order.Copies
		}
	}
	r.Took = time.Since(began)
	return r, ctx.Err()
}
