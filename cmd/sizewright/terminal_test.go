package main

import (
	"strings"
	"testing"
	"time"

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
	want := "\rgull.jpg  A2  held: gull.jpg is cut short; copy it again\x1b[K\n\rfault: A3 / gull.jpg: the disk does not answer\x1b[K\n"
	if out.String() != want {
		t.Errorf("%q, want %q", out.String(), want)
	}
}

func TestTheTerminalCountsAndSaysWhatIsLeft(t *testing.T) {
	var out strings.Builder
	term := terminal{out: &out}
	term.Waiting(9, 90*time.Second)
	begun := time.Now()
	r := record.Record{Status: record.Ready, Print: &record.Print{File: "creek.tif"}}
	r.Order.Folder, r.Source.Name = "24x36in", "creek.jpg"
	r.Times.Claimed = time.Date(2026, 3, 14, 1, 0, 0, 0, time.UTC)
	r.Times.Finished = r.Times.Claimed.Add(3600 * time.Millisecond)
	for i := range 3 {
		term.Ended(record.Entry{Record: r})
		term.Waiting(8-i, time.Duration(80-10*i)*time.Second)
	}
	if got, last := out.String(), "\r3 of 9  creek.jpg  24x36in  ready  3.6 s\x1b[K\n"; !strings.HasSuffix(got, last) {
		t.Errorf("%q does not end with %q", got, last)
	}
	// A third is made in 20 s: the rest takes twice that.
	if got := term.timeLeft(begun.Add(20 * time.Second)); got != ", about 40 s left" {
		t.Errorf("%q", got)
	}
}
