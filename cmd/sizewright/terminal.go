package main

import (
	"fmt"
	"io"
	"os"
	"time"

	"go.uber.org/zap/zapcore"
	"golang.org/x/term"

	"sizewright/internal/plaintext"
	"sizewright/internal/record"
	"sizewright/internal/remedy"
)

// terminal shows one line for each finished order, and below them a progress line.
type terminal struct {
	out   io.Writer
	shown time.Time
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

func (t *terminal) Started(folder, name string) { t.draw(folder + " / " + name + ": reading") }

func (t *terminal) Rendering(folder, name string, done, total int) {
	if done < total && time.Since(t.shown) < redrawEvery {
		return
	}
	t.shown = time.Now()
	t.draw(fmt.Sprintf("%s / %s: %3d %%", folder, name, 100*done/total))
}

func (t *terminal) Ended(e record.Entry) { t.end(endedWords(&e.Record)) }

func (t *terminal) Failed(f record.Fault) {
	t.end("fault: " + about(f.Folder, f.Name, remedy.Join(f.Text, f.Remedy)))
}

// endedWords is the line for an order that ended with a record.
func endedWords(r *record.Record) string {
	order := r.Order.Folder + " / " + r.Source.Name
	switch {
	case r.Status == record.Held:
		return "held: " + about(r.Order.Folder, r.Source.Name, r.Why())
	case r.RepeatOf != "":
		return order + ": made before: " + r.Print.File
	}
	words := fmt.Sprintf("%s: %s, %d x %d px", order, r.Print.File, r.Print.WidthPX, r.Print.HeightPX)
	for _, c := range r.Cautions {
		words += "; caution: " + c.Text
	}
	return words
}

// end leaves a line on the terminal.
func (t *terminal) end(text string) {
	t.draw(text)
	fmt.Fprintln(t.out)
}

// draw overwrites the progress line: carriage return, text, clear to the end.
func (t *terminal) draw(text string) { plaintext.Fprintf(t.out, "\r%s\x1b[K", text) }

func isoTime(t time.Time, enc zapcore.PrimitiveArrayEncoder) {
	enc.AppendString(t.Format("2006-01-02T15:04:05.000Z07:00"))
}
