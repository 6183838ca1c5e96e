package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

// untilTold is a context that ends at the first SIGTERM or SIGINT, for a command with
// orders in hand to give back. A second signal ends the process at once, wherever it
// is: what it leaves is put right at the next start, as after any crash.
//
// Commands that have nothing in hand do not ask for it, and end at the first.
func untilTold(ctx context.Context) (told context.Context, stop context.CancelFunc) {
	told, stop = context.WithCancel(ctx)
	heard := make(chan os.Signal, 1)
	signal.Notify(heard, syscall.SIGINT, syscall.SIGTERM)
	go func() {
		select {
		case <-heard:
		case <-told.Done():
		}
		signal.Stop(heard) // before anybody is told, for the next to do what signals do
		stop()
	}()
	return told, stop
}
