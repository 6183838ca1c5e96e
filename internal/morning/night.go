package morning

import (
	"path"
	"time"

	"sizewright/internal/record"
	"sizewright/internal/sheet"
)

// Entry is one print record and where it lies.
type Entry struct {
	Path   string // of the record, from the studio's root, with slashes: outbox/A2/marsh.json
	Record record.Record
}

// Left is something in the drop folders that was left alone, and why. Name is
// "" for a whole folder, such as one whose name is no size.
type Left struct {
	Folder, Name, Text string

	Litter bool // what systems and programs leave about: listed, and not counted
}

// Fault is something that went wrong and was not the picture's doing. The
// original is back in its drop folder.
type Fault struct{ Folder, Name, Text string }

// Night is what a morning report tells of.
type Night struct {
	Date              string // of the morning, 2026-03-14; it names the report's files
	Started, Finished time.Time
	Records           []Entry
	Left              []Left
	Faults            []Fault
	Units             string // that the page gives sizes in: Millimetres, Inches or BothUnits, which "" is too
	Album             *Album // small pictures of pages before; nil for none
}

// Counts is a night in numbers. Every record counts once; the prints made are
// Ready + WithCautions.
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
		case e.Record.Status == record.Held:
			c.Held++
		case e.Record.RepeatOf != "":
			c.AlreadyMade++
		case e.Record.Status == record.ReadyWithCautions:
			c.WithCautions++
		default:
			c.Ready++
		}
	}
	return c
}

// Sentence is the night in one sentence, as the page begins: what was made, held
// and went wrong, from when to when, and the paper it takes.
func (n *Night) Sentence() string { return n.sentence(&english, n.paper()) }

// sentence is told what the night takes of paper: packing it is work, to be done
// once. With nil it says nothing of paper.
func (n *Night) sentence(w *words, paper *paperFacts) string {
	var takes sheet.Estimate
	if paper != nil {
		takes = paper.Estimate
	}
	from, to := n.span()
	return w.Night(n.Counts(), n.leftAlone(), from, to, takes)
}

// leftAlone counts what was left alone, but for litter.
func (n *Night) leftAlone() (count int) {
	for _, l := range n.Left {
		if !l.Litter {
			count++
		}
	}
	return count
}

// span is from when to when the night's work ran. A report may hold records
// from before its own run began, so they have a say.
func (n *Night) span() (from, to time.Time) {
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

// Beside is the path, from the studio's root with slashes, of a file that an
// entry's record names: in the folder of that record or, for a repeat, in the
// folder of the record it repeats.
func Beside(e Entry, file string) string {
	if e.Record.RepeatOf != "" {
		return path.Join(path.Dir(e.Record.RepeatOf), file)
	}
	return path.Join(path.Dir(e.Path), file)
}
