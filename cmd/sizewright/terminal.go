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

// terminal is one line an order as it ends, and below them one that moves.
type terminal struct {
	out   io.Writer
	shown time.Time
}

// redrawEvery bounds how often the moving line is drawn.
const redrawEvery = 100 * time.Millisecond

// newTerminal is nil where no person watches.
func newTerminal(f *os.File) *terminal {
	if !term.IsTerminal(int(f.Fd())) {
		return nil
	}
	return &terminal{out: f}
}

func (t *terminal) Started(folder, name string) { t.draw(folder, name, "reading") }

func (t *terminal) Rendering(folder, name string, done, total int) {
	if done < total && time.Since(t.shown) < redrawEvery {
		return
	}
	t.shown = time.Now()
	t.draw(folder, name, fmt.Sprintf("%3d %%", 100*done/total))
}

func (t *terminal) Ended(e record.Entry) {
	r := e.Record
	words := ""
	switch {
	case r.Status == record.Held:
		words = "held: " + r.Why()
	case r.RepeatOf != "":
		words = "made before: " + r.Print.File
	default:
		words = fmt.Sprintf("%s, %d x %d px", r.Print.File, r.Print.WidthPX, r.Print.HeightPX)
		for _, c := range r.Cautions {
			words += "; caution: " + c.Text
		}
	}
	t.draw(r.Order.Folder, r.Source.Name, words)
	fmt.Fprintln(t.out)
}

func (t *terminal) Failed(f record.Fault) {
	t.draw(f.Folder, f.Name, "fault: "+remedy.Join(f.Text, f.Remedy))
	fmt.Fprintln(t.out)
}

// draw writes over the line: return, text, clear to the end.
func (t *terminal) draw(folder, name, what string) {
	plaintext.Fprintf(t.out, "\r%s / %s: %s\x1b[K", folder, name, what)
}

func isoTime(t time.Time, enc zapcore.PrimitiveArrayEncoder) {
	enc.AppendString(t.Format("2006-01-02T15:04:05.000Z07:00"))
}
