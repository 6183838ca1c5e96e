package report

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"sizewright/internal/packing"
	"sizewright/internal/photo"
	"sizewright/internal/plaintext"
	"sizewright/internal/record"
)

// SchemaID is the value of a report's "schema".
const SchemaID = "sizewright/morning-report/1"

// facts is the report for programs. Its form is fixed by the JSON Schema
// configs/morning.schema.json.
type facts struct {
	Schema   string         `json:"schema"`
	Date     string         `json:"date"`
	Started  time.Time      `json:"started,omitzero"`
	Finished time.Time      `json:"finished,omitzero"`
	Sentence string         `json:"sentence"`
	Counts   record.Counts  `json:"counts"`
	Orders   []orderFacts   `json:"orders"`
	Faults   []noteFacts    `json:"faults"`
	Left     []noteFacts    `json:"left_alone"`
	Paper    *packing.Paper `json:"paper,omitempty"` // of prints that were laid on paper
}

// orderFacts is what matters in the morning of one print record.
type orderFacts struct {
	Order    record.Order    `json:"order"`
	Status   record.Status   `json:"status"`
	Source   sourceFacts     `json:"source"`
	Print    *printFacts     `json:"print,omitempty"`
	Gamut    *gamutFacts     `json:"gamut,omitempty"`
	Ladder   *ladderFacts    `json:"ladder,omitempty"`
	RepeatOf string          `json:"repeat_of,omitempty"`
	Cautions []photo.Caution `json:"cautions"`
	Reason   string          `json:"reason,omitempty"`
	Code     string          `json:"reason_code,omitempty"`
	ToDo     string          `json:"to_do,omitempty"`
	Largest  *largestFacts   `json:"largest,omitempty"`
	Finished time.Time       `json:"finished"`
	Links    links           `json:"links"`
}

type sourceFacts struct {
	Name   string `json:"name"`
	Width  int    `json:"width_px,omitempty"`
	Height int    `json:"height_px,omitempty"`
}

type printFacts struct {
	File      string  `json:"file"`
	WidthPX   int     `json:"width_px"`
	HeightPX  int     `json:"height_px"`
	WidthMM   float64 `json:"width_mm"`
	HeightMM  float64 `json:"height_mm"`
	PPI       float64 `json:"ppi"`
	NativePPI float64 `json:"native_ppi"`
	Scale     float64 `json:"scale"`

	Crops []cropFacts `json:"crops,omitempty"`
}

// cropFacts is one place of a print at 100 % of its pixels.
type cropFacts struct {
	Name   string  `json:"name"`
	Why    string  `json:"why"`
	SidePX int     `json:"side_px"`
	SideMM float64 `json:"side_mm"`
	Link   string  `json:"link"`
	Before string  `json:"link_before"`
}

// ladderFacts is how large a picture should and can go, by the names of sizes;
// "" where none of those asked about will do.
type ladderFacts struct {
	Needs   string  `json:"needs_at_least,omitempty"`
	Carries string  `json:"carries_up_to,omitempty"`
	Gain    float64 `json:"gain"`
	Verdict string  `json:"verdict"`
}

type largestFacts struct {
	Size     string  `json:"size,omitempty"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
}

type noteFacts struct {
	Folder string `json:"folder"`
	Name   string `json:"name,omitempty"`
	Text   string `json:"text"`
}

// JSON is the report for programs, in the form of configs/morning.schema.json.
// Orders are in the order of n.Records.
func (n *Night) JSON() ([]byte, error) {
	f := facts{
		Schema: SchemaID, Date: n.Date, Started: n.Started, Finished: n.Finished, Counts: n.Counts(),
		Sentence: spaced(n.Sentence()),
		Orders:   make([]orderFacts, 0, len(n.Records)),
		Faults:   make([]noteFacts, 0, len(n.Faults)),
		Left:     make([]noteFacts, 0, len(n.Left)),
		Paper:    n.Paper,
	}
	for _, e := range n.Records {
		f.Orders = append(f.Orders, orderFactsOf(e))
	}
	for _, x := range n.Faults {
		f.Faults = append(f.Faults, noteFacts(x))
	}
	for _, x := range n.Left {
		f.Left = append(f.Left, noteFacts{x.Folder, x.Name, x.Text})
	}
	b, err := json.MarshalIndent(f, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("the morning report of %s as JSON: %w", n.Date, err)
	}
	return append(plaintext.JSON(b), '\n'), nil
}

func orderFactsOf(e record.Entry) orderFacts {
	r := e.Record
	o := orderFacts{
		Order: r.Order, Status: r.Status, RepeatOf: r.RepeatOf,
		Source:   sourceFacts{Name: r.Source.Name, Width: r.Source.Width, Height: r.Source.Height},
		Cautions: append([]photo.Caution{}, r.Cautions...),
		Reason:   r.Reason, Code: r.Code,
		Finished: r.Times.Finished, Links: linksOf(e),
	}
	if p := r.Print; p != nil && r.Plan != nil {
		o.Print = &printFacts{
			File: p.File, WidthPX: p.WidthPX, HeightPX: p.HeightPX,
			WidthMM: p.WidthMM, HeightMM: p.HeightMM, PPI: p.PPI,
			NativePPI: r.Plan.Resolution.NativePPI, Scale: max(r.Plan.Scale.X, r.Plan.Scale.Y),
			Crops: cropFactsOf(e),
		}
	}
	_, todo := advice(&r, &english)
	o.ToDo = spaced(todo)
	if l := r.Ladder; r.Print != nil && l != nil && len(l.Rungs) > 0 {
		o.Ladder = &ladderFacts{l.Needs.Rung, l.Carries.Rung, l.Gain, l.Verdict}
	}
	if r.Print != nil && r.Gamut != nil {
		o.Gamut = gamutFactsOf(r.Gamut)
	}
	if r.Plan != nil && r.Plan.Refusal != nil {
		x := r.Plan.Refusal
		o.Largest = &largestFacts{Size: x.Size, WidthMM: x.WidthMM, HeightMM: x.HeightMM}
	}
	return o
}

func cropFactsOf(e record.Entry) []cropFacts {
	var all []cropFacts
	for _, c := range e.Record.Print.Crops {
		all = append(all, cropFacts{c.Name, c.Why, c.SidePX, c.SideMM, href(e.Beside(c.File)), href(e.Beside(c.Before))})
	}
	return all
}

// spaced is a sentence of the page for programs: they break lines where they like.
func spaced(text string) string { return strings.ReplaceAll(text, "\u00a0", " ") }
