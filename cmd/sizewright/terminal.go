package main

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"sync"
	"time"

	"go.uber.org/zap/zapcore"
	"golang.org/x/term"

	"sizewright/internal/caution"
	"sizewright/internal/daemon"
	"sizewright/internal/plaintext"
	"sizewright/internal/record"
)

// terminal shows one line for each finished order, and below them a progress line.
type terminal struct {
	out   io.Writer
	mu    sync.Mutex // the log writes here too
	shown time.Time

	done, left, total int // orders, of this run of work
	pace              daemon.Pace
}

// redrawEvery limits how often the progress line is drawn.
const redrawEvery = 100 * time.Millisecond

// newTerminal returns nil if f is not a terminal.
func newTerminal(f *os.File) *terminal {
	if !term.IsTerminal(int(f.Fd())) {
		return nil
	}
	return &terminal{out: f}
}

func (t *terminal) Started(folder, name string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.draw(folder + " / " + name + ": reading")
}

func (t *terminal) Rendering(folder, name string, done, total int) {
	t.mu.Lock()
	defer t.mu.Unlock()

	if done < total && time.Since(t.shown) < redrawEvery {
		return
	}
	t.shown = time.Now()
	t.draw(fmt.Sprintf("%s / %s: %3d %%%s", folder, name, 100*done/total, t.timeLeft(t.shown)))
}

func (t *terminal) Waiting(orders int, takes time.Duration) {
	t.mu.Lock()
	defer t.mu.Unlock()

	if t.pace.Waiting(orders, takes, time.Now()) {
		t.done, t.left, t.total = 0, 0, 0
	}
	t.total += max(0, orders-t.left)
	t.left = orders
}

// timeLeft is ", about 3 min left" once some of the run is made.
func (t *terminal) timeLeft(now time.Time) string {
	switch left := t.pace.Left(now); {
	case left == 0:
		return ""
	case left < time.Minute:
		return fmt.Sprintf(", about %.0f s left", left.Seconds())
	default:
		return fmt.Sprintf(", about %.0f min left", left.Minutes())
	}
}

func (t *terminal) Ended(e record.Entry) {
	t.mu.Lock()
	defer t.mu.Unlock()

	t.done++
	t.end(t.counted() + endedWords(&e.Record))
}

func (t *terminal) Failed(f record.Fault) {
	t.mu.Lock()
	defer t.mu.Unlock()

	t.end("fault: " + about(f.Folder, f.Name, f.Why()))
}

// counted is "4 of 9  ", as far as the number is known.
func (t *terminal) counted() string {
	if t.total == 0 {
		return ""
	}
	return fmt.Sprintf("%d of %d  ", t.done, max(t.total, t.done))
}

// endedWords is the line for an order that ended with a record: name, folder, how it ended
// and how long it took, and what it asks of somebody.
func endedWords(r *record.Record) string {
	words := []string{r.Source.Name, r.Order.Folder}
	switch {
	case r.Status == record.Held:
		return strings.Join(append(words, "held: "+strings.TrimPrefix(r.Why(), r.Source.Name+": ")), "  ")
	case r.RepeatOf != "":
		return strings.Join(append(words, "made before, as "+r.Print.File), "  ")
	}
	took := fmt.Sprintf("%.1f s", r.Times.Finished.Sub(r.Times.Claimed).Seconds())
	if c, asks := r.Asks(); asks {
		words = append(words, "ready with cautions", took, c.Text+". "+caution.Of(c).Do)
	} else {
		words = append(words, "ready", took)
	}
	return strings.Join(words, "  ")
}

// end leaves a line on the terminal.
func (t *terminal) end(text string) {
	t.draw(text)
	fmt.Fprintln(t.out)
}

// draw overwrites the progress line: carriage return, text, clear to the end.
func (t *terminal) draw(text string) { plaintext.Fprintf(t.out, "\r%s\x1b[K", text) }

// terminalLog is a log for people: warnings and errors, and when work begins and ends.
// What comes of orders the lines say.
type terminalLog struct {
	zapcore.LevelEnabler
	t *terminal
}

func (l terminalLog) With([]zapcore.Field) zapcore.Core { return l }
func (l terminalLog) Sync() error                       { return nil }

func (l terminalLog) Check(e zapcore.Entry, c *zapcore.CheckedEntry) *zapcore.CheckedEntry {
	if e.Level > zapcore.InfoLevel || slices.Contains([]string{"serving", "morning report", "stopped"}, e.Message) {
		return c.AddCore(e, l)
	}
	return c
}

// Write prints an entry with its fields' values, none of them empty. A kind is for programs.
func (l terminalLog) Write(e zapcore.Entry, fields []zapcore.Field) error {
	words := []string{e.Message}
	for _, f := range fields {
		m := zapcore.NewMapObjectEncoder()
		f.AddTo(m)
		if v := fmt.Sprint(m.Fields[f.Key]); f.Key != "kind" && v != "" && v != "0" && v != "[]" {
			words = append(words, v)
		}
	}
	l.t.mu.Lock()
	defer l.t.mu.Unlock()
	l.t.end(strings.Join(words, ": "))
	return nil
}

func isoTime(t time.Time, enc zapcore.PrimitiveArrayEncoder) {
	enc.AppendString(t.Format("2006-01-02T15:04:05.000Z07:00"))
}
