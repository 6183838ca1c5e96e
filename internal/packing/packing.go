// Package packing lays a night's prints together on the rolls they are meant for, and
// sums up what the night takes of paper, money and time.
//
// It is a decision about production and needs the whole night, so it is made once the
// night's prints are, from their records alone. The report shows the result. How pieces
// are laid on one roll is package roll's.
package packing

import (
	"cmp"
	"maps"
	"path"
	"slices"

	"sizewright/internal/order"
	"sizewright/internal/printsize"
	"sizewright/internal/record"
	"sizewright/internal/sheet"
	"sizewright/internal/sheet/roll"
)

// Paper is what a night's prints take.
type Paper struct {
	Estimate sheet.Estimate `json:"estimate"` // of what is known
	Packings []Packing      `json:"packings"`
}

// Packing is a night's prints for one roll in one print mode, packed onto it. Those whose
// runs are made files have one resolution, bit depth and profile.
type Packing struct {
	Media    string         `json:"media"`
	Mode     string         `json:"mode,omitempty"`
	Plan     roll.Plan      `json:"plan"`
	Estimate sheet.Estimate `json:"estimate"`
	PPI      float64        `json:"-"`                 // of the runs' files; 0 where none are to be made
	Files    []string       `json:"files,omitempty"`   // of the runs, in the directory of the night's report; "" for one that could not be made
	Printed  int            `json:"printed,omitempty"` // so many of the runs, the first, are on paper, and stay as they are
}

// load is what is packed together: the pieces for one roll in one mode.
type load struct {
	media, mode string
	roll        roll.Roll
	form        form
}

// form is what prints in one file have in common; zero for prints that get none.
type form struct {
	ppi    float64
	bits   int
	digest string // of the profile
}

func formOf(p *order.Plan) form {
	if !p.Paper.Pack.File {
		return form{}
	}
	return form{p.Print.PPI, p.File.Bits, p.Colour.Digest}
}

// Of packs a night's prints, those for one roll in one mode together, and adds up what
// they take with those that lie on a sheet of their own. It is nil where no print lies on
// a paper that is known.
//
// moved are the names of files that people moved to printed/, among them runs.
func Of(night []record.Entry, moved ...string) *Paper {
	p, done := &Paper{Packings: []Packing{}}, Printed(night, moved...)
	pieces := map[load][]record.Entry{}
	var loads []load
	for _, e := range night {
		paper := laid(&e.Record)
		if paper == nil {
			continue
		}
		if paper.Pack == nil {
			p.Estimate = p.Estimate.Plus(paper.Estimate)
			continue
		}
		l := load{paper.Layout.Media, paper.Layout.Mode, paper.Pack.Roll, formOf(e.Record.Plan)}
		if pieces[l] == nil {
			loads = append(loads, l)
		}
		pieces[l] = append(pieces[l], e)
	}
	slices.SortStableFunc(loads, func(a, b load) int { return cmp.Or(cmp.Compare(a.media, b.media), cmp.Compare(a.mode, b.mode)) })
	for _, l := range loads {
		packed := pack(l, pieces[l], done)
		p.Packings = append(p.Packings, packed)
		p.Estimate = p.Estimate.Plus(packed.Estimate)
	}
	if p.Estimate.Prints == 0 && len(p.Packings) == 0 {
		return nil
	}
	return p
}

// laid is how a print lies that was made now, or is asked for again, on a known paper; nil of
// any other order.
func laid(r *record.Record) *order.Paper {
	if r.Status == record.Held || r.RepeatOf != "" && !r.Reprint || r.Plan == nil {
		return nil
	}
	return r.Plan.Paper
}

// ID is what the pieces of a print's TIFF are called in a plan: its folder and file.
func ID(e record.Entry, t record.Numbered) string { return e.Record.Order.Folder + "/" + t.File }

func pack(l load, entries []record.Entry, done map[string]bool) Packing {
	var items []roll.Item
	ink := map[string]float64{}         // by the item's ID
	before := map[string][]roll.Piece{} // on paper, by the run's file
	for _, e := range entries {
		p := e.Record.Plan.Paper
		copies := e.Record.Plan.Copies()
		if e.Record.Print.Edition != nil {
			copies = 1 // of each number
		}
		for _, t := range e.Record.Print.TIFFs() {
			item := roll.Item{ID: ID(e, t), WidthMM: p.Pack.WidthMM, HeightMM: p.Pack.HeightMM, MayTurn: p.Pack.MayTurn}
			ink[item.ID] = p.Layout.Ink.Width * p.Layout.Ink.Height
			left := copies
			for _, at := range e.Record.Packed {
				if done[at.File] && at.Number == t.Number && left > 0 {
					before[at.File] = append(before[at.File], pieceAt(item, at, l.form.ppi))
					left--
				}
			}
			items = append(items, slices.Repeat([]roll.Item{item}, left)...)
		}
	}
	packed := Packing{Media: l.media, Mode: l.mode, PPI: l.form.ppi, Plan: roll.Pack(items, l.roll)}
	var runs []roll.Run
	for _, file := range slices.Sorted(maps.Keys(before)) {
		runs, packed.Files = append(runs, roll.Run{Pieces: before[file]}), append(packed.Files, path.Base(file))
	}
	if packed.Printed = len(runs); packed.Printed > 0 {
		packed.Plan.Before(runs, 2*printsize.MMPerInch/l.form.ppi)
	}
	use := sheet.Use{Kind: sheet.Roll, WidthMM: l.roll.WidthMM, LengthMM: packed.Plan.LengthMM, Mode: l.mode}
	for _, run := range packed.Plan.Runs {
		use.Prints += len(run.Pieces)
		for _, piece := range run.Pieces {
			use.InkMM2 += ink[piece.ID]
		}
	}
	packed.Estimate = entries[len(entries)-1].Record.Plan.Paper.Rates.Of(use) // those of the latest
	return packed
}

// pieceAt is a copy as it lies in a run's file.
func pieceAt(i roll.Item, at record.Packed, ppi float64) roll.Piece {
	mm := func(px int) float64 { return float64(px) * printsize.MMPerInch / ppi }
	p := roll.Piece{ID: i.ID, X: mm(at.Place.X), Y: mm(at.Place.Y), Width: i.WidthMM, Height: i.HeightMM, Turned: at.Turned}
	if p.Turned {
		p.Width, p.Height = p.Height, p.Width
	}
	return p
}

// Printed are the files of runs that are on paper, in whole or in part: of one of their
// copies somebody said so, or moved the file to printed/. Such a run stays as it is, and what
// is made later lies on others.
func Printed(night []record.Entry, moved ...string) map[string]bool {
	done := map[string]bool{}
	for _, e := range night {
		for _, at := range e.Record.Packed {
			if !e.Record.NumberPrintedAt(at.Number).IsZero() || slices.Contains(moved, path.Base(at.File)) {
				done[at.File] = true
			}
		}
	}
	return done
}
