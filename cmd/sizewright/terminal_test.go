package main

import (
	"strings"
	"testing"

	"sizewright/internal/record"
)

func TestAFilesNameIsSaidOnce(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"gull.jpg", "gull.jpg is cut short; copy it again", "A2 / gull.jpg is cut short; copy it again"},
		{"gull.jpg", "gull.jpg: too few pixels for A2", "A2 / gull.jpg: too few pixels for A2"},
		{"gull.jpg", "not enough room on the disk", "A2 / gull.jpg: not enough room on the disk"},
		{"gull", "gull.jpg is cut short", "A2 / gull: gull.jpg is cut short"},
		{"gull-2.jpg", "gull.jpg is cut short", "A2 / gull-2.jpg: gull.jpg is cut short"},
		{"a\tb.jpg", `a\tb.jpg is cut short`, `A2 / a\tb.jpg is cut short`},
	} {
		if got := about("A2", c.name, c.text); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestTheTerminalNamesAnOrderOnce(t *testing.T) {
	var out strings.Builder
	term := terminal{out: &out}
	r := record.Record{Status: record.Held, Reason: "gull.jpg is cut short", Remedy: "copy it again"}
	r.Order.Folder, r.Source.Name = "A2", "gull.jpg"
	term.Ended(record.Entry{Record: r})
	term.Failed(record.Fault{Folder: "A3", Name: "gull.jpg", Text: "gull.jpg: the disk does not answer"})
	want := "\rheld: A2 / gull.jpg is cut short; copy it again\x1b[K\n\rfault: A3 / gull.jpg: the disk does not answer\x1b[K\n"
	if out.String() != want {
		t.Errorf("%q, want %q", out.String(), want)
	}
}
