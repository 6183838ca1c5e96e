package record

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"sizewright/internal/plaintext"
	"sizewright/internal/plural"
	"sizewright/internal/remedy"
)

// Night is what was made in a night, and what was not. What was left alone and what went
// wrong is in no record: only the run that met it knows.
type Night struct {
	Date              string // of the morning, 2026-03-14; it names the report's files
	Started, Finished time.Time
	Records           []Entry
	Left              []Left
	Faults            []Fault
}

// Left is something in the drop folders that was left alone, and why. Name is "" for a
// whole folder, such as one whose name is no size.
type Left struct {
	Folder, Name, Text string

	Remedy string // what to do, one sentence; "" where the text says all
	Code   string // why it was not made; "" for a note about what was, and for litter
	Litter bool   // what is no picture: listed, and not counted

	Pictures int // that wait because of it, and no print is made of; 0 for a note
}

// Why is why it was left alone, and what to do about it, in one sentence.
func (l Left) Why() string { return remedy.Join(l.Text, l.Remedy) }

// Undone tells whether pictures wait because of it.
func (l Left) Undone() bool { return l.Pictures > 0 }

// LeftFor is one picture that was left alone for an error.
func LeftFor(folder, name, code string, err error) Left {
	fault, do := remedy.Split(err)
	return Left{Folder: folder, Name: name, Text: fault, Remedy: do, Code: code, Pictures: 1}
}

// LeftInFolder is a drop folder of whose name nothing can be made, and the pictures that
// wait in it.
func LeftInFolder(folder string, pictures int, err error) Left {
	fault, do := remedy.Split(err)
	if pictures > 0 {
		named := strconv.Quote(folder)
		if rest, cut := strings.CutPrefix(fault, "drop folder "+named+" "); cut {
			fault = "the folder's name " + rest
		}
		fault = fmt.Sprintf("%s in %s %s waiting: %s", plural.Count(pictures, "picture", "pictures"), named, plural.Noun(pictures, "is", "are"), fault)
	}
	return Left{Folder: folder, Text: fault, Remedy: do, Code: "no-size", Pictures: pictures}
}

// Fault is something that went wrong and was not the picture's doing. The original is
// back in its drop folder.
type Fault struct {
	Folder, Name, Text string

	Remedy string // what to do, one sentence; "" where nothing is known
}

// Why is what went wrong, and what to do about it, in one sentence.
func (f Fault) Why() string { return remedy.Join(f.Text, f.Remedy) }

// FaultFor is an error that came to an order.
func FaultFor(folder, name string, err error) Fault {
	fault, do := remedy.Split(err)
	if do == "" {
		fault = plaintext.Error(err) // there may be several
	}
	return Fault{Folder: folder, Name: name, Text: fault, Remedy: do}
}

// Counts is a night in numbers. Every record counts once; the prints made are Ready +
// WithCautions.
type Counts struct {
	Ready        int `json:"ready"`
	WithCautions int `json:"ready_with_cautions"`
	AlreadyMade  int `json:"already_made"` // orders recognised as made before: nothing was made anew
	Held         int `json:"held"`
	Faults       int `json:"faults"`
}

// Counts counts the night.
func (n *Night) Counts() Counts {
	c := Counts{Faults: len(n.Faults)}
	for _, e := range n.Records {
		switch {
		case e.Record.Status == Held:
			c.Held++
		case e.Record.RepeatOf != "":
			c.AlreadyMade++
		case e.Record.Status == ReadyWithCautions:
			c.WithCautions++
		default:
			c.Ready++
		}
	}
	return c
}

// LeftAlone counts what was left alone, but for litter and for pictures that wait.
func (n *Night) LeftAlone() (count int) {
	for _, l := range n.Left {
		if !l.Litter && !l.Undone() {
			count++
		}
	}
	return count
}

// Unmade counts the pictures that wait, and no print was made of: what is not whole yet,
// lies in the wrong place, or waits for room.
func (n *Night) Unmade() (count int) {
	for _, l := range n.Left {
		count += l.Pictures
	}
	return count
}

// Span is from when to when the night's work ran. A night may hold records from before
// its own run began, so they have a say.
func (n *Night) Span() (from, to time.Time) {
	from, to = n.Started, n.Finished
	for _, e := range n.Records {
		t := e.Record.Times
		if from.IsZero() || !t.Claimed.IsZero() && t.Claimed.Before(from) {
			from = t.Claimed
		}
		if t.Finished.After(to) {
			to = t.Finished
		}
	}
	return from.In(to.Location()), to
}
