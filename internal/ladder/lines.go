package ladder

import (
	"cmp"
	"slices"
)

// A line is one of the plot's curves.
type line struct {
	name   string
	dash   string // stroke-dasharray
	marker string // SVG path around 0,0
	class  string
	share  func(Rung) float64
}

func (p *plot) lines() {
	lines := []line{
		{"seen from 25 cm", "7 4", "M-4 -4H4V4H-4Z", "mark", func(r Rung) float64 { return r.Near.Detail }},
		{lookName(p.Ladder), "none", "M-4 0A4 4 0 1 0 4 0A4 4 0 1 0 -4 0Z", "mark full", func(r Rung) float64 { return r.Look.Detail }},
	}
	if p.Plain {
		return
	}
	for _, l := range lines {
		p.line(l)
	}
	p.names(lines)
}

func (p *plot) line(l line) {
	p.put(`<path class="line" stroke-dasharray="%s" d="`, l.dash)
	for i, r := range p.between() {
		p.put("%c%.1f %.1f", "ML"[min(i, 1)], p.x(r), p.y(l.share(r)))
	}
	p.put("\"/>\n")
	for _, r := range p.Rungs {
		p.put(`<path class="%s" transform="translate(%.1f %.1f)" d="%s"/>`+"\n", l.class, p.x(r), p.y(l.share(r)), l.marker)
	}
}

// between returns the points of the curves. A ladder that was read from JSON has only
// the rungs.
func (p *plot) between() []Rung {
	if len(p.curve) > 0 {
		return p.curve
	}
	return p.Rungs
}

// names writes each line's name at its end, and moves names apart that would overlap.
func (p *plot) names(lines []line) {
	last := p.Rungs[len(p.Rungs)-1]
	ends := slices.Clone(lines)
	slices.SortStableFunc(ends, func(a, b line) int { return cmp.Compare(b.share(last), a.share(last)) })
	ys := make([]float64, len(ends))
	for i, l := range ends {
		ys[i] = p.y(l.share(last))
		if i > 0 {
			ys[i] = max(ys[i], ys[i-1]+labelApart)
		}
	}
	for i := len(ys) - 1; i >= 0; i-- {
		ys[i] = min(ys[i], float64(bottomY-labelApart*(len(ys)-1-i)))
	}
	for i, l := range ends {
		x := float64(rightX + 18)
		p.put(`<path class="line" stroke-dasharray="%s" d="M%.1f %.1fh24"/>`+"\n", l.dash, x-12, ys[i])
		p.put(`<path class="%s" transform="translate(%.1f %.1f)" d="%s"/>`+"\n", l.class, x, ys[i], l.marker)
		p.text(x+17, ys[i]+4, "", "start", l.name)
	}
}
