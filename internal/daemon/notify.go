package daemon

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/capability"
)

const (
	// notifyTime is how long the program that hears of a report may take.
	notifyTime = time.Minute
	// notifyWords is how much is kept of what it says, in bytes.
	notifyWords = 200
)

// notify tells the user's program of a report, if there is one.
func (r *run) notify(ctx context.Context, facts []byte) {
	if err := notify(ctx, r.Notify, facts, notifyTime); err != nil {
		r.Log.Error("nobody was notified", zap.Error(err))
	}
}

// notify runs the program of the user's choice, if there is one, with the report's
// JSON on its standard input and no argument: nothing of the studio is ever part of a
// command line, of its environment, or in the way of what it looks up.
func notify(ctx context.Context, program string, facts []byte, limit time.Duration) error {
	if program == "" {
		return nil
	}
	ctx, cancel := context.WithTimeout(ctx, limit)
	defer cancel()
	cmd := exec.CommandContext(ctx, program)
	cmd.Env, cmd.Dir = notifyEnv(), "/"
	cmd.Stdin = bytes.NewReader(facts)
	said := &firstWords{}
	cmd.Stdout, cmd.Stderr = said, said
	cmd.WaitDelay = time.Second // for what it started and left behind
	err := capability.Run(cmd)
	switch {
	case ctx.Err() != nil:
		return fmt.Errorf("%s, which --notify names, took more than %v and was stopped", program, limit)
	case err != nil:
		return fmt.Errorf("%s, which --notify names, failed: %w: %s", program, err, strings.TrimSpace(said.String()))
	}
	return nil
}

// notifyEnv is all of its environment. The daemon's own has what is between it and
// systemd, and whatever its unit keeps there.
func notifyEnv() []string {
	env := []string{"PATH=/usr/local/bin:/usr/bin:/bin", "LANG=C.UTF-8"}
	if home, ok := os.LookupEnv("HOME"); ok { // where mail programs have their settings
		env = append(env, "HOME="+home)
	}
	return env
}

// firstWords keeps the first of what is written to it.
type firstWords struct{ strings.Builder }

func (f *firstWords) Write(b []byte) (int, error) {
	f.Builder.Write(b[:min(len(b), notifyWords-f.Len())])
	return len(b), nil
}

// notifier tells of reports beside the loop, one at a time: a program that takes its
// minute keeps no order waiting. Of those that wait only the latest is told, for it
// holds what the night's earlier ones do.
type notifier struct {
	next chan []byte
	over chan struct{}
	stop context.CancelFunc
}

func newNotifier(notify func(context.Context, []byte)) *notifier {
	// A stop of the daemon must not keep the morning from being told.
	ctx, stop := context.WithCancel(context.Background())
	n := &notifier{make(chan []byte, 1), make(chan struct{}), stop}
	go func() {
		defer close(n.over)
		for facts := range n.next {
			notify(ctx, facts)
		}
	}()
	return n
}

// send belongs to one goroutine.
func (n *notifier) send(facts []byte) {
	select {
	case <-n.next:
	default:
	}
	n.next <- facts
}

// close returns when all is told, or as long later as one program may take.
func (n *notifier) close() {
	close(n.next)
	defer n.stop()
	defer time.AfterFunc(notifyTime, n.stop).Stop()
	<-n.over
}
