package morning

import (
	"cmp"
	"html/template"
	"slices"
	"strconv"

	"sizewright/internal/record"
	"sizewright/internal/render"
	"sizewright/internal/sheet"
	"sizewright/internal/sheet/roll"
)

// Packing is a night's prints for one roll, packed onto it.
type Packing struct {
	Media    string         `json:"media"`
	Mode     string         `json:"mode,omitempty"`
	Plan     roll.Plan      `json:"plan"`
	Estimate sheet.Estimate `json:"estimate"`
}

// packed tells whether an entry is a print to be packed with others.
func packed(e Entry) bool { return laid(e) && e.Record.Plan.Paper.Pack != nil }

// laid tells whether an entry is a print that was made now, on a known paper.
func laid(e Entry) bool {
	r := &e.Record
	return r.Status != record.Held && r.RepeatOf == "" && r.Plan != nil && r.Plan.Paper != nil
}

// Packings packs the night's prints, those for one roll in one mode together, from
// the records alone.
func (n *Night) Packings() []Packing {
	type kind struct {
		media, mode string
		roll        roll.Roll
	}
	pieces := map[kind][]Entry{}
	var kinds []kind
	for _, e := range n.Records {
		if !packed(e) {
			continue
		}
		p := e.Record.Plan.Paper
		k := kind{p.Layout.Media, p.Layout.Mode, p.Pack.Roll}
		if pieces[k] == nil {
			kinds = append(kinds, k)
		}
		pieces[k] = append(pieces[k], e)
	}
	slices.SortStableFunc(kinds, func(a, b kind) int { return cmp.Or(cmp.Compare(a.media, b.media), cmp.Compare(a.mode, b.mode)) })
	var all []Packing
	for _, k := range kinds {
		all = append(all, pack(k.media, k.mode, k.roll, pieces[k]))
	}
	return all
}

func pack(media, mode string, r roll.Roll, pieces []Entry) Packing {
	var items []roll.Item
	rates, ink := sheet.Rates{}, 0.0
	for _, e := range pieces {
		p := e.Record.Plan.Paper
		items = append(items, roll.Item{ID: e.Record.Order.Folder + "/" + e.Record.Print.File, WidthMM: p.Pack.WidthMM, HeightMM: p.Pack.HeightMM, MayTurn: p.Pack.MayTurn})
		rates = p.Rates
		ink += float64(p.Layout.Ink.Width * p.Layout.Ink.Height)
	}
	k := Packing{Media: media, Mode: mode, Plan: roll.Pack(items, r)}
	k.Estimate = rates.Of(sheet.Use{Kind: sheet.Roll, Prints: len(items) - len(k.Plan.Unplaced), WidthMM: r.WidthMM, LengthMM: k.Plan.LengthMM, InkMM2: ink, Mode: mode})
	return k
}

// Estimate is what the night's prints take of paper, money and time, of what is known.
func (n *Night) Estimate(packings []Packing) sheet.Estimate {
	var all sheet.Estimate
	for _, e := range n.Records {
		if laid(e) && !packed(e) {
			all = all.Plus(e.Record.Plan.Paper.Estimate)
		}
	}
	for _, p := range packings {
		all = all.Plus(p.Estimate)
	}
	return all
}

// paperFacts is the night's paper for programs.
type paperFacts struct {
	Estimate sheet.Estimate `json:"estimate"`
	Packings []Packing      `json:"packings"`
}

func (n *Night) paper() *paperFacts {
	p := n.Packings()
	if e := n.Estimate(p); e.Prints > 0 {
		return &paperFacts{e, append([]Packing{}, p...)}
	}
	return nil
}

// drawn is one run of a packing as the page shows it.
type drawn struct {
	Title   string
	Drawing template.HTML
	Pieces  []string
	Cuts    []string
}

// paperPart is the page's section about paper.
type paperPart struct {
	Sum  string
	Runs []drawn
	Left []string // for which there was no room
}

func newPaperPart(f *paperFacts, w *words) *paperPart {
	if f == nil {
		return nil
	}
	part := &paperPart{Sum: typeset(f.Estimate.String())}
	for _, p := range f.Packings {
		for i, run := range p.Plan.Runs {
			d := drawn{Title: w.RunOf(p.Media, p.Mode, i+1, run, p.Plan), Drawing: template.HTML(run.SVG())} // escaped by package roll
			for k, piece := range run.Pieces {
				d.Pieces = append(d.Pieces, w.Piece(k+1, piece))
			}
			for _, c := range run.Cuts {
				d.Cuts = append(d.Cuts, typeset(c.Sentence()))
			}
			part.Runs = append(part.Runs, d)
		}
		for _, u := range p.Plan.Unplaced {
			part.Left = append(part.Left, typeset(u.Sentence))
		}
	}
	return part
}

// onPaper is how a print lies, in words.
func onPaper(p *render.Paper) []string {
	lines := []string{typeset(p.Layout.Media + modeOf(p.Layout.Mode))}
	for _, d := range p.Layout.Decisions {
		lines = append(lines, typeset(d.Text))
	}
	if e := p.Estimate.String(); e != "" && p.Pack == nil {
		lines = append(lines, typeset(e))
	}
	return lines
}

func modeOf(mode string) string {
	if mode == "" {
		return ""
	}
	return ", mode " + strconv.Quote(mode)
}
