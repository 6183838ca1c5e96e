package report

import (
	"cmp"
	"encoding/json"
	"fmt"
	"time"

	"sizewright/internal/colour"
	"sizewright/internal/packing"
	"sizewright/internal/photo"
	"sizewright/internal/plaintext"
	"sizewright/internal/record"
	"sizewright/internal/vision"
)

// SchemaID is the value of a report's "schema".
const SchemaID = "sizewright/morning-report/1"

// nightJSON is the report for programs. Its form is fixed by the JSON Schema
// configs/morning.schema.json.
type nightJSON struct {
	Schema   string         `json:"schema"`
	Date     string         `json:"date"`
	Started  time.Time      `json:"started,omitzero"`
	Finished time.Time      `json:"finished,omitzero"`
	Sentence string         `json:"sentence"`
	Counts   record.Counts  `json:"counts"`
	Orders   []orderJSON    `json:"orders"`
	Faults   []noteJSON     `json:"faults"`
	Left     []noteJSON     `json:"left_alone"`
	Paper    *packing.Paper `json:"paper,omitempty"` // of prints that were laid on paper

	Jobs []record.JobTotals `json:"jobs,omitempty"`
}

// orderJSON is what matters in the morning of one print record.
type orderJSON struct {
	Order    record.Order    `json:"order"`
	Status   record.Status   `json:"status"`
	Verdict  vision.Verdict  `json:"verdict,omitempty"`
	Source   sourceJSON      `json:"source"`
	Print    *printJSON      `json:"print,omitempty"`
	Gamut    *gamutJSON      `json:"gamut,omitempty"`
	Ladder   *ladderJSON     `json:"ladder,omitempty"`
	RepeatOf string          `json:"repeat_of,omitempty"`
	Cautions []photo.Caution `json:"cautions"`
	Reason   string          `json:"reason,omitempty"`
	Remedy   string          `json:"remedy,omitempty"`
	Code     string          `json:"reason_code,omitempty"`
	ToDo     string          `json:"to_do,omitempty"`
	Largest  *largestJSON    `json:"largest,omitempty"`
	Finished time.Time       `json:"finished"`
	Links    links           `json:"links"`

	OnPaper record.OnPaper `json:"on_paper,omitempty"` // as the report is written
	Printed time.Time      `json:"printed,omitzero"`
}

type sourceJSON struct {
	Name   string `json:"name"`
	Width  int    `json:"width_px,omitempty"`
	Height int    `json:"height_px,omitempty"`
}

type printJSON struct {
	File      string  `json:"file"`
	WidthPX   int     `json:"width_px"`
	HeightPX  int     `json:"height_px"`
	WidthMM   float64 `json:"width_mm"`
	HeightMM  float64 `json:"height_mm"`
	PPI       float64 `json:"ppi"`
	NativePPI float64 `json:"native_ppi"`
	Scale     float64 `json:"scale"`

	Crops   []cropJSON      `json:"crops,omitempty"`
	Edition *record.Edition `json:"edition,omitempty"`
}

// cropJSON is one place of a print at 100 % of its pixels.
type cropJSON struct {
	Name   string  `json:"name"`
	Why    string  `json:"why"`
	SidePX int     `json:"side_px"`
	SideMM float64 `json:"side_mm"`
	Link   string  `json:"link"`
	Before string  `json:"link_before"`
}

type gamutJSON struct {
	Profile string         `json:"profile"`
	Beyond1 float64        `json:"share_beyond_1"`
	Beyond3 float64        `json:"share_beyond_3"`
	Beyond6 float64        `json:"share_beyond_6"`
	Seen    *colour.Shares `json:"seen,omitempty"`
	Max     float64        `json:"max"`
	Regions []string       `json:"regions"`
}

// ladderJSON is how large a picture should and can go, by the names of sizes; "" where
// none of those asked about will do.
type ladderJSON struct {
	Needs   string  `json:"needs_at_least,omitempty"`
	Carries string  `json:"carries_up_to,omitempty"`
	Gain    float64 `json:"gain"`
	Verdict string  `json:"verdict"`
}

type largestJSON struct {
	Size     string  `json:"size,omitempty"`
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
}

type noteJSON struct {
	Folder string `json:"folder"`
	Name   string `json:"name,omitempty"`
	Text   string `json:"text"`
	Remedy string `json:"remedy,omitempty"`
	Code   string `json:"code,omitempty"`

	Pictures int `json:"pictures,omitempty"`
}

// JSON is the report for programs, in the form of configs/morning.schema.json.
// Orders are in the order of n.Records.
func (n *Night) JSON() ([]byte, error) {
	doc := nightJSON{
		Schema: SchemaID, Date: n.Date, Started: n.Started, Finished: n.Finished, Counts: n.Counts(),
		Sentence: spaced(n.Sentence()), Paper: n.Paper, Jobs: n.Jobs(),
		Orders: make([]orderJSON, 0, len(n.Records)),
		Faults: make([]noteJSON, 0, len(n.Faults)),
		Left:   make([]noteJSON, 0, len(n.Left)),
	}
	for _, e := range n.Records {
		doc.Orders = append(doc.Orders, orderOf(e))
	}
	for _, x := range n.Faults {
		doc.Faults = append(doc.Faults, noteJSON{x.Folder, x.Name, x.Text, x.Remedy, "", 0})
	}
	for _, x := range n.Left {
		doc.Left = append(doc.Left, noteJSON{x.Folder, x.Name, x.Text, x.Remedy, x.Code, x.Pictures})
	}
	b, err := json.MarshalIndent(doc, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("the morning report of %s as JSON: %w", n.Date, err)
	}
	return append(plaintext.JSON(b), '\n'), nil
}

func orderOf(e record.Entry) orderJSON {
	r := e.Record
	o := orderJSON{
		Order: r.Order, Status: r.Status, Verdict: r.Verdict, RepeatOf: r.RepeatOf,
		Source:   sourceJSON{r.Source.Name, r.Source.Width, r.Source.Height},
		Cautions: append([]photo.Caution{}, r.Cautions...),
		Reason:   r.Reason, Remedy: r.Remedy, Code: r.Code,
		Finished: r.Times.Finished, Links: linksOf(e),
		OnPaper: r.OnPaper(), Printed: r.PrintedAt(),
	}
	_, todo := advice(&r)
	o.ToDo = spaced(todo)
	if p := r.Print; p != nil && r.Plan != nil {
		o.Print = &printJSON{
			File: p.File, WidthPX: p.WidthPX, HeightPX: p.HeightPX,
			WidthMM: p.WidthMM, HeightMM: p.HeightMM, PPI: p.PPI, Edition: p.Edition,
			NativePPI: r.Plan.Resolution.NativePPI, Scale: max(r.Plan.Scale.X, r.Plan.Scale.Y),
		}
		for _, c := range p.Crops {
			o.Print.Crops = append(o.Print.Crops, cropJSON{c.Name, c.Why, c.SidePX, c.SideMM, href(e.Beside(c.File)), href(e.Beside(c.Before))})
		}
	}
	if l := r.Ladder; r.Print != nil && l != nil && len(l.Rungs) > 0 {
		o.Ladder = &ladderJSON{l.Needs.Rung, l.Carries.Rung, l.Gain, cmp.Or(agreed(l, l.Verdict), l.Holds)}
	}
	if g := r.Gamut; r.Print != nil && g != nil {
		o.Gamut = &gamutJSON{g.Profile, g.Beyond1, g.Beyond3, g.Beyond6, g.Seen, g.Max, make([]string, 0, len(g.Regions))}
		for _, region := range g.Regions {
			o.Gamut.Regions = append(o.Gamut.Regions, region.Text)
		}
	}
	if r.Plan != nil && r.Plan.Refusal != nil {
		x := r.Plan.Refusal
		o.Largest = &largestJSON{x.Size, x.WidthMM, x.HeightMM}
	}
	return o
}
