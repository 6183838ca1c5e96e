package isolate

import (
	"errors"
	"fmt"
	"strings"
	"syscall"
	"time"

	"sizewright/internal/hold"
	"sizewright/internal/photo"
	"sizewright/internal/remedy"
)

// ErrKilled reports that the system ended the decoding process, as it does when memory
// runs out. It does not show which process used the memory: the kernel ends the child
// first, and the child's own memory has a limit.
var ErrKilled = errors.New("the system ended the process that decodes it")

// Stopped is a file whose decoding took too long or too much memory, or crashed.
var Stopped = hold.New("stopped", "open it in an editor and export it again")

func timeoutError(name string, allowed time.Duration) error {
	return Stopped.Say("%s took more than %s to decode and was stopped", name, formatDuration(allowed))
}

// formatDuration formats a duration as "2 minutes" or "90 seconds".
func formatDuration(d time.Duration) string {
	n, unit := d.Seconds(), "second"
	if d >= 2*time.Minute && d%time.Minute == 0 {
		n, unit = d.Minutes(), "minute"
	}
	if n == 1 {
		return "1 " + unit
	}
	return fmt.Sprintf("%.4g %ss", n, unit)
}

// exitError returns the error for a child that ended by itself. said is the start of its
// standard error.
func exitError(name string, how syscall.WaitStatus, said string, lim photo.Limits) error {
	cause := errors.New(describe(how, said))
	switch {
	case how.ExitStatus() == exitFault:
		return errors.New(said)
	case how.Signal() == syscall.SIGTERM, how.Signal() == syscall.SIGINT, how.Signal() == syscall.SIGHUP:
		// A signal that stops the daemon may be sent to all of its processes.
		return cause
	case strings.Contains(said, "failed to create new OS thread"):
		return cause // the limit on processes is reached
	case strings.Contains(said, "SIGBUS"): // of a mapped file: only a room is one
		return remedy.Errorf("check the disk of the studio", "the disk failed under the file that it is decoded to (%w)", cause)
	case strings.Contains(said, "out of memory"), strings.Contains(said, "cannot allocate memory"):
		return &photo.Error{Hold: *Stopped.Say("%s took more than the %.3g GiB of memory allowed to decode it and was stopped", name, float64(lim.MaxMemoryBytes)/(1<<30)), Err: cause}
	case how.Signal() == syscall.SIGKILL:
		return remedy.Errorf("give sizewright more memory, or stop other programs that use it", "%w (SIGKILL), as happens when memory runs out", ErrKilled)
	}
	return &photo.Error{Hold: *Stopped.Say("%s is damaged in a way that crashed its decoder", name), Err: cause}
}

// describe formats the child's end for the log.
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

// prefix keeps the first 4 KiB written to it: the Go runtime says why it fails in its
// first lines and then prints much more.
type prefix struct{ strings.Builder }

func (h *prefix) Write(b []byte) (int, error) {
	const enough = 4 << 10
	h.Builder.Write(b[:min(len(b), max(0, enough-h.Len()))])
	return len(b), nil
}
