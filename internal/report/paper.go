package report

import (
	"fmt"
	"html/template"
	"strconv"

	"sizewright/internal/order"
	"sizewright/internal/packing"
	"sizewright/internal/sheet/roll"
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

func newPaperPart(p *packing.Paper) *paperPart {
	if p == nil {
		return nil
	}
	part := &paperPart{Sum: typeset(p.Estimate.String())}
	for _, p := range p.Packings {
		for i, run := range p.Plan.Runs {
			d := drawn{Title: runTitle(p.Media, p.Mode, i+1, run, p.Plan), Drawing: template.HTML(run.SVG())} // escaped by package roll
			for k, piece := range run.Pieces {
				d.Pieces = append(d.Pieces, pieceLine(k+1, piece))
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

// runTitle is one run of a roll, its length and what is not printed on.
func runTitle(media, mode string, n int, r roll.Run, p roll.Plan) string {
	text := fmt.Sprintf("%s%s: %.2f m", media, modeOf(mode), r.LengthMM/1000)
	if len(p.Runs) > 1 {
		text = fmt.Sprintf("%s, run %d of %d", text, n, len(p.Runs))
	}
	return typeset(fmt.Sprintf("%s; %.0f %% of the paper goes unused, and no packing is shorter than %.2f m in all", text, 100*p.WasteShare, p.LowerBoundMM/1000))
}

func pieceLine(n int, p roll.Piece) string {
	turned := ""
	if p.Turned {
		turned = ", turned"
	}
	return typeset(fmt.Sprintf("%s: %.0f x %.0f mm%s, at %.0f mm across and %.0f mm along", p.ID, p.Width, p.Height, turned, p.X, p.Y))
}

// onPaper is how a print lies, in words.
func onPaper(p *order.Paper) []string {
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
