package report

import (
	"fmt"
	"strconv"

	"sizewright/internal/order"
	"sizewright/internal/sheet/roll"
)

func pieceLine(p roll.Piece) string {
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
