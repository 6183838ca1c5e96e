package record

import "time"

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

	Litter bool // what systems and programs leave about: listed, and not counted
}

// Fault is something that went wrong and was not the picture's doing. The original is
// back in its drop folder.
type Fault struct{ Folder, Name, Text string }

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

// LeftAlone counts what was left alone, but for litter.
func (n *Night) LeftAlone() (count int) {
	for _, l := range n.Left {
		if !l.Litter {
			count++
		}
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
