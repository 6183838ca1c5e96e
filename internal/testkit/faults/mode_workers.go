//go:build linux

package faults

import (
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"sizewright/internal/record"
	"sizewright/internal/testkit/natstest"
)

// plant is a studio with a server and workers. Its prints are sent whatever they cost.
type plant struct {
	*Trial
	t       *modeRun
	server  *natstest.Server
	owner   *Daemon
	workers []*Daemon
	via     []string // a command that starts workers
}

// newPlant starts all of it. server may be nil for one on a loopback address.
func (t *modeRun) newPlant(count int, server *natstest.Server, via ...string) (*plant, error) {
	binary, err := build(filepath.Join(t.Dir, "sizewright-sends"), "-ldflags", "-X sizewright/internal/machines.SendAll=yes")
	if err != nil {
		return nil, err
	}
	t.Binary = binary
	dir := filepath.Join(t.Dir, "server")
	if err := os.Mkdir(dir, 0o755); err != nil {
		return nil, err
	}
	if server == nil {
		if server, err = natstest.New(dir); err != nil {
			return nil, err
		}
	}
	if err := server.Start(); err != nil {
		return nil, err
	}
	n, err := t.begin(0, Settings{More: fmt.Sprintf("[machines]\nnats = %q\n", server.URL)})
	if err != nil {
		server.Kill()
		return nil, err
	}
	p := &plant{Trial: n, t: t, server: server, via: via, workers: make([]*Daemon, count)}
	for i := range p.workers {
		p.startWorker(i)
	}
	p.owner = n.Start(0)
	return p, nil
}

func (p *plant) startWorker(i int) {
	args := append(append([]string{}, p.via...), p.Binary, "worker", "--nats", p.server.URL, "--name", fmt.Sprintf("press%d", i), "--cores", "1",
		"--scratch", filepath.Join(p.t.Dir, fmt.Sprintf("scratch%d", i)))
	p.workers[i] = p.launch(p.t.Dir, args...)
}

// end waits until all is made, and compares each print with one that is made here.
func (p *plant) end(ctx context.Context) {
	p.Finish(ctx, 30*time.Minute)
	p.owner.Stop()
	for _, w := range p.workers {
		w.Stop()
	}
	p.server.Kill()
	there, away, err := prints(p.Studio())
	var here map[printKey]string
	if err == nil {
		here, err = p.madeHere(ctx)
	}
	if err != nil {
		p.wrong.add(Wrong, "the prints cannot be compared: %v", err)
	}
	for key, sum := range there {
		if here[key] != sum {
			p.wrong.add(Wrong, "the print of %s in %s is not the one that is made here", key.source, key.folder)
		}
	}
	p.t.result.note("%d of %d prints were made by workers", away, len(there))
	for _, dir := range p.scratchLeft() {
		p.wrong.add(Wrong, "a worker left %s", dir)
	}
}

func (p *plant) scratchLeft() []string {
	left, _ := filepath.Glob(filepath.Join(p.t.Dir, "scratch*", "*"))
	return left
}

// printKey is what a print is of.
type printKey struct{ folder, source string }

// prints returns the digests of a studio's TIFFs, and how many were made by workers.
func prints(studio string) (all map[printKey]string, away int, err error) {
	entries, err := record.Reader{Root: studio}.Made(context.Background())
	all = map[printKey]string{}
	for _, e := range entries {
		r := e.Record
		if r.Print == nil || r.RepeatOf != "" {
			continue
		}
		data, err := os.ReadFile(filepath.Join(studio, e.Beside(r.Print.File)))
		if err != nil {
			return nil, 0, err
		}
		all[printKey{r.Order.Folder, r.Source.SHA256}] = sum(data)
		if r.Print.Made != nil && r.Print.Made.Worker != "" {
			away++
		}
	}
	return all, away, err
}

// madeHere makes the same prints in a studio without workers.
func (p *plant) madeHere(ctx context.Context) (map[printKey]string, error) {
	n, err := NewTrial(filepath.Join(p.t.Dir, "here"), p.Binary, 1, 0, Settings{})
	if err != nil {
		return nil, err
	}
	originals, err := filepath.Glob(p.path("originals", "*", "*"))
	if err != nil {
		return nil, err
	}
	for _, path := range originals {
		to := n.path("drop", filepath.Base(filepath.Dir(path)))
		if err := os.MkdirAll(to, 0o755); err != nil {
			return nil, err
		}
		data, err := os.ReadFile(path)
		if err == nil {
			err = os.WriteFile(filepath.Join(to, filepath.Base(path)), data, 0o644)
		}
		if err != nil {
			return nil, err
		}
	}
	if out, err := exec.CommandContext(ctx, n.Binary, "once", "--studio", n.Studio()).CombinedOutput(); err != nil && len(out) == 0 {
		return nil, err
	}
	all, _, err := prints(n.Studio())
	return all, err
}

// moment waits for a moment from 2 ms to 3 s, evenly on a logarithmic scale.
func (p *plant) moment(ctx context.Context) {
	asleep(ctx, time.Duration(2e6*math.Pow(1500, p.rand.Float64())))
}

// workers kills the owner, a worker or the server, in turn, while orders come in. Every
// fourth time it waits until a worker has something in hand.
func workers(ctx context.Context, t *modeRun) error {
	p, err := t.newPlant(2, nil)
	if err != nil {
		return err
	}
	defer p.server.Kill()
	bad := Hostile(p.rand)
	for k := range t.Tries {
		if ctx.Err() != nil {
			return nil
		}
		p.Drop(t.share(k), Usual, bad)
		if k%4 == 3 {
			p.awaitHand(ctx, 5*time.Second)
		}
		p.moment(ctx)
		switch k % 3 {
		case 0:
			i := k / 3 % len(p.workers)
			p.workers[i].Kill()
			p.startWorker(i)
		case 1:
			p.owner.Kill()
			p.oldPages = append(p.oldPages, p.newPages()...)
			p.owner = p.Start(0)
		case 2:
			p.server.Kill()
			if k%2 == 0 {
				asleep(ctx, time.Duration(p.rand.Int64N(int64(3*time.Second))))
			}
			if err := p.server.Start(); err != nil {
				return err
			}
		}
		if k%20 == 19 {
			t.Say("%d kills", k+1)
		}
	}
	p.end(ctx)
	return nil
}

// awaitHand waits until a worker has an order in hand.
func (p *plant) awaitHand(ctx context.Context, patience time.Duration) {
	for end := time.Now().Add(patience); time.Now().Before(end) && ctx.Err() == nil; asleep(ctx, 5*time.Millisecond) {
		if len(p.scratchLeft()) > 0 {
			return
		}
	}
}

// stopped has a worker stand still for longer than the server waits for a sign of it.
func stopped(ctx context.Context, t *modeRun) error {
	p, err := t.newPlant(2, nil)
	if err != nil {
		return err
	}
	defer p.server.Kill()
	for k := range t.Tries {
		p.Drop(t.share(k), Usual, nil)
		p.awaitHand(ctx, 10*time.Second)
		w := p.workers[k%2].cmd.Process
		w.Signal(syscall.SIGSTOP)
		asleep(ctx, 40*time.Second)
		w.Signal(syscall.SIGCONT)
		t.Say("%d times", k+1)
	}
	p.end(ctx)
	return nil
}

// cut has the server in a network namespace of its own, and the workers in another, and
// cuts the one or the other connection for a while.
func cut(ctx context.Context, t *modeRun) error {
	const server, worker = "sizewright-server", "sizewright-worker"
	defer func() {
		for _, n := range []string{server, worker} {
			exec.Command("ip", "netns", "del", n).Run()
		}
	}()
	for _, line := range []string{
		"ip netns add " + server, "ip netns add " + worker,
		"ip link add swowner type veth peer name swa netns " + server, "ip addr add 10.231.1.2/24 dev swowner", "ip link set swowner up",
		"ip -n " + server + " addr add 10.231.1.1/24 dev swa", "ip -n " + server + " link set swa up", "ip -n " + server + " link set lo up",
		"ip -n " + worker + " link add swworker type veth peer name swb netns " + server, "ip -n " + worker + " addr add 10.231.2.2/24 dev swworker",
		"ip -n " + worker + " link set swworker up", "ip -n " + worker + " link set lo up", "ip -n " + worker + " route add 10.231.1.0/24 via 10.231.2.1",
		"ip -n " + server + " addr add 10.231.2.1/24 dev swb", "ip -n " + server + " link set swb up",
	} {
		f := strings.Fields(line)
		if out, err := exec.Command(f[0], f[1:]...).CombinedOutput(); err != nil {
			t.result.Skipped = fmt.Sprintf("network namespaces need root: %s: %s", line, out)
			return nil
		}
	}
	s := natstest.At("10.231.1.1", "4222", filepath.Join(t.Dir, "server"))
	s.Via = []string{"ip", "netns", "exec", server}
	p, err := t.newPlant(2, s, "ip", "netns", "exec", worker)
	if err != nil {
		return err
	}
	defer s.Kill()
	for k := range t.Tries {
		if ctx.Err() != nil {
			return nil
		}
		p.Drop(t.share(k), Usual, nil)
		p.awaitHand(ctx, 5*time.Second)
		p.moment(ctx)
		link := []string{"swa", "swb"}[k%2]
		exec.Command("ip", "-n", server, "link", "set", link, "down").Run()
		asleep(ctx, time.Duration(1e8*math.Pow(200, p.rand.Float64()))) // 0.1 to 20 s
		if out, err := exec.Command("ip", "-n", server, "link", "set", link, "up").CombinedOutput(); err != nil {
			return fmt.Errorf("%w: %s", err, out)
		}
		if link == "swb" { // a link that goes down loses what leads to it
			exec.Command("ip", "-n", worker, "route", "replace", "10.231.1.0/24", "via", "10.231.2.1").Run()
		}
		t.Say("%d times", k+1)
	}
	p.end(ctx)
	return nil
}
