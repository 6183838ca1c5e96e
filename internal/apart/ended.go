package apart

import (
	"errors"
	"fmt"
	"strings"
	"syscall"
	"time"

	"sizewright/internal/photo"
)

// ErrKilled is a decoding process that the system ended, as it does when memory runs
// out. Whose memory is not known: the child offers itself to be ended first, whoever
// takes too much, and what it takes itself has a limit of its own.
var ErrKilled = errors.New("the system ended the process that decodes it")

const remedy = "open it in an editor and export it again"

func tookTooLong(name string, allowed time.Duration) error {
	return &photo.Error{Kind: photo.Stopped, File: name, Remedy: remedy,
		Fault: "took more than " + inWords(allowed) + " to decode and was stopped"}
}

// inWords is a time as one says it: 2 minutes, 90 seconds.
func inWords(d time.Duration) string {
	n, unit := d.Seconds(), "second"
	if d >= 2*time.Minute && d%time.Minute == 0 {
		n, unit = d.Minutes(), "minute"
	}
	if n == 1 {
		return "1 " + unit
	}
	return fmt.Sprintf("%.4g %ss", n, unit)
}

// ended says why a child ended that was not stopped by the clock; said is the first
// of what it said.
func ended(name string, how syscall.WaitStatus, said string, lim photo.Limits) error {
	stopped := &photo.Error{Kind: photo.Stopped, File: name, Remedy: remedy, Err: errors.New(describe(how, said))}
	switch {
	case how.ExitStatus() == exitFault:
		return errors.New(said)
	case how.Signal() == syscall.SIGTERM, how.Signal() == syscall.SIGINT, how.Signal() == syscall.SIGHUP:
		// Whoever stops the daemon may stop all of its processes at once.
		return stopped.Err
	case strings.Contains(said, "failed to create new OS thread"):
		return stopped.Err // of so many processes no more are allowed
	case strings.Contains(said, "out of memory"), strings.Contains(said, "cannot allocate memory"):
		stopped.Fault = fmt.Sprintf("took more than the %.3g GiB of memory allowed to decode it and was stopped", float64(lim.MaxMemoryBytes)/(1<<30))
	case how.Signal() == syscall.SIGKILL:
		return fmt.Errorf("%w (SIGKILL), as happens when memory runs out; give sizewright more memory, or end what else takes it", ErrKilled)
	default:
		stopped.Fault = "is damaged in a way that crashed its decoder"
	}
	return stopped
}

// describe is for the log.
func describe(how syscall.WaitStatus, said string) string {
	text := fmt.Sprintf("the decoding process ended with status %d", how.ExitStatus())
	if how.Signaled() {
		text = fmt.Sprintf("the decoding process was ended by %v", how.Signal())
	}
	if said != "" {
		text += ": " + said
	}
	return text
}

// head keeps the first of what is written to it: a runtime that fails says why in its
// first lines and goes on at length.
type head struct{ strings.Builder }

func (h *head) Write(b []byte) (int, error) {
	const enough = 4 << 10
	h.Builder.Write(b[:min(len(b), max(0, enough-h.Len()))])
	return len(b), nil
}
