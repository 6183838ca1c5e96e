package report

import (
	"html/template"
	"strconv"

	"sizewright/internal/packing"
	"sizewright/internal/render"
)

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

func newPaperPart(p *packing.Paper, w *words) *paperPart {
	if p == nil {
		return nil
	}
	part := &paperPart{Sum: typeset(p.Estimate.String())}
	for _, p := range p.Packings {
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
