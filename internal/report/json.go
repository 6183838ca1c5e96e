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
	"sizewright/internal/printed"
	"sizewright/internal/record"
	"sizewright/internal/sheet"
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
	Causes   []causeJSON    `json:"causes"`
	Loads    []loadJSON     `json:"loads"`
	Faults   []noteJSON     `json:"faults"`
	Left     []noteJSON     `json:"left_alone"`
	Paper    *packing.Paper `json:"paper,omitempty"` // of prints that were laid on paper

	Outbox *printed.Outbox `json:"outbox,omitempty"`

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
	Settled  string          `json:"settled_for,omitempty"`
	Largest  *largestJSON    `json:"largest,omitempty"`
	Finished time.Time       `json:"finished"`
	Links    links           `json:"links"`

	OnPaper record.OnPaper `json:"on_paper,omitempty"` // as the report is written
	Printed time.Time      `json:"printed,omitzero"`
}

// causeJSON is what orders of one job wait for; Orders are their places in the report's.
type causeJSON struct {
	Code   string `json:"code"`
	Job    string `json:"job,omitempty"`
	Held   bool   `json:"held"`
	Title  string `json:"title"`
	ToDo   string `json:"to_do,omitempty"` // "" where each order has its own
	Orders []int  `json:"orders"`
}

// loadJSON is what is printed on one paper, in order.
type loadJSON struct {
	Media    string          `json:"media,omitempty"`
	Stock    string          `json:"stock,omitempty"`
	Mode     string          `json:"mode,omitempty"`
	Driver   string          `json:"driver,omitempty"`
	Estimate *sheet.Estimate `json:"estimate,omitempty"`
	Prints   []loadedJSON    `json:"prints"`
}

type loadedJSON struct {
	Order  int     `json:"order"`
	Copies int     `json:"copies"`
	Again  string  `json:"again,omitempty"`
	Driver string  `json:"driver,omitempty"`
	Pieces []place `json:"pieces,omitempty"`
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
	Labels  []string        `json:"labels,omitempty"` // for the back, relative to the report
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
		Sentence: spaced(n.Sentence()), Paper: n.Paper, Jobs: n.Jobs(), Outbox: n.Outbox,
		Orders: make([]orderJSON, 0, len(n.Records)),
		Faults: make([]noteJSON, 0, len(n.Faults)),
		Left:   make([]noteJSON, 0, len(n.Left)),
	}
	for _, e := range n.Records {
		doc.Orders = append(doc.Orders, orderOf(e))
	}
	n.group(&doc)
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

// group adds what the page shows together: causes, what was settled, loads.
func (n *Night) group(doc *nightJSON) {
	entries := legible(n.Records)
	cards := make([]card, len(entries))
	for i, e := range entries {
		cards[i] = told(e, n.Units)
		cards[i].At = i
	}
	settled := settledIn(entries)
	for i, folder := range settled {
		doc.Orders[i].Settled = folder
	}
	doc.Causes, doc.Loads = []causeJSON{}, []loadJSON{}
	for _, c := range causesOf(entries, cards, settled) {
		x := causeJSON{Code: c.code, Job: c.Job, Held: c.Held, Title: spaced(c.Title), ToDo: spaced(c.ToDo)}
		for _, card := range c.Cards {
			x.Orders = append(x.Orders, card.At)
		}
		doc.Causes = append(doc.Causes, x)
	}
	for _, l := range loadsOf(entries, cards, n.Paper) {
		x := loadJSON{Media: l.media, Stock: l.stock, Mode: l.mode, Driver: spaced(l.Driver)}
		if l.estimate.Prints > 0 {
			x.Estimate = &l.estimate
		}
		for _, row := range l.Rows {
			x.Prints = append(x.Prints, loadedJSON{row.At, max(row.Copies, 1), row.Again, spaced(row.Driver), row.places})
		}
		doc.Loads = append(doc.Loads, x)
	}
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
			WidthMM: p.WidthMM, HeightMM: p.HeightMM, PPI: p.PPI, Edition: p.Edition, Labels: labelsOf(e),
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
