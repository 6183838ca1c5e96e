package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

// untilTold returns a context that ends at the first SIGTERM or SIGINT, for a command that
// has to give back orders in hand. A second signal ends the process at once; the next start
// repairs what it leaves, as after any crash.
//
// Commands with nothing in hand do not use it, and end at the first signal.
func untilTold(ctx context.Context) (told context.Context, stop context.CancelFunc) {
	told, stop = context.WithCancel(ctx)
	heard := make(chan os.Signal, 1)
	signal.Notify(heard, syscall.SIGINT, syscall.SIGTERM)
	go func() {
		select {
		case <-heard:
		case <-told.Done():
		}
		signal.Stop(heard) // first, so that a second signal ends the process
		stop()
	}()
	return told, stop
}
