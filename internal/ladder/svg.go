package ladder

import (
	"bytes"
	"cmp"
	"fmt"

	"sizewright/internal/exact"
	"sizewright/internal/plaintext"
)

// The plot, in user units.
const (
	plotWidth, plotHeight = 720, 420
	leftX, rightX         = 52, 560
	topY, bottomY         = 104, 308
	charWidth             = 6.6 // of 12-unit type, a generous average
	tickRows, tickRow     = 3, 15
	labelApart            = 17 // between the names of lines
	titleRunes            = 70
	nameRunes             = 20
	inside                = 24 // distance of the outermost rungs from the edges
)

// style is the style sheet for print and for light and dark screens. Lines differ by
// dash and marker, never by colour.
const style = `
.ladder{font:12px system-ui,"Noto Sans","DejaVu Sans",sans-serif;font-variant-numeric:tabular-nums}
.ladder .ground{fill:#fff}.ladder text{fill:#1d1d1d}.ladder .soft{fill:#5c5c5c}
.ladder .title{font-size:15px}.ladder .marked{font-weight:bold}
.ladder .hair{stroke:#d2d2d2;stroke-width:1;fill:none}.ladder .band{fill:#ececec}
.ladder .line{stroke:#1d1d1d;stroke-width:2;fill:none;stroke-linejoin:round}
.ladder .mark{stroke:#1d1d1d;stroke-width:1.5;fill:#fff}.ladder .full{fill:#1d1d1d}
.ladder .limit{stroke:#1d1d1d;stroke-width:1;fill:none}.ladder .over{paint-order:stroke;stroke:#fff;stroke-width:4}.ladder .span{stroke:#1d1d1d;stroke-width:3}
@media (prefers-color-scheme:dark){
.ladder .ground{fill:#262626}.ladder text{fill:#e6e6e6}.ladder .over{stroke:#262626}.ladder .soft{fill:#b0b0b0}
.ladder .hair{stroke:#474747}.ladder .band{fill:#383838}
.ladder .line,.ladder .limit,.ladder .span{stroke:#e6e6e6}
.ladder .mark{stroke:#e6e6e6;fill:#262626}.ladder .full{fill:#e6e6e6}}
`

// SVG draws the ladder: detail seen and softness over size, the sizes below, and the
// two limits above. It is a complete UTF-8 document without scripts or external
// references. Its text is real text, and it can be read without colour.
func (l *Ladder) SVG() []byte {
	p := plot{Ladder: l}
	p.scale()
	p.open()
	p.grid()
	p.limits()
	p.rungs()
	p.lines()
	p.put("</svg>\n")
	return p.out.Bytes()
}

type plot struct {
	*Ladder
	out       bytes.Buffer
	low, high float64 // logarithms of the long side at the left and the right
}

func (p *plot) put(format string, args ...any) { fmt.Fprintf(&p.out, format, args...) }

// text sets a line of text.
func (p *plot) text(x, y float64, class, anchor, s string) {
	p.put(`<text x="%.1f" y="%.1f" class="%s" text-anchor="%s">%s</text>`+"\n", x, y, class, anchor, plaintext.XML(s))
}

// scale fits the rungs between left and right. A single rung is in the middle.
func (p *plot) scale() {
	p.low, p.high = longLog(p.Rungs[0]), longLog(p.Rungs[len(p.Rungs)-1])
	if p.high-p.low < 0.01 {
		p.low, p.high = p.low-1, p.high+1
	}
}

func longLog(r Rung) float64 { return exact.Log(max(r.WidthMM, r.HeightMM)) }

// x returns the horizontal position of a rung.
func (p *plot) x(r Rung) float64 {
	return leftX + inside + (rightX-leftX-2*inside)*(longLog(r)-p.low)/(p.high-p.low)
}

func (p *plot) y(share float64) float64 { return bottomY - float64((bottomY-topY)*share) }

func (p *plot) open() {
	p.put(`<svg xmlns="http://www.w3.org/2000/svg" class="ladder" role="img" lang="en-GB" width="%d" height="%d" viewBox="0 0 %d %d">`+"\n",
		plotWidth, plotHeight, plotWidth, plotHeight)
	p.put("<title>%s</title>\n<desc>%s</desc>\n<style>%s</style>\n", plaintext.XML(p.Picture), plaintext.XML(p.Verdict+" "+p.Basis), style)
	p.put(`<rect class="ground" width="%d" height="%d"/>`+"\n", plotWidth, plotHeight)
	p.text(leftX, 26, "title", "start", cut(p.Picture, titleRunes))
	p.text(leftX, 44, "soft", "start", p.Holds)
	p.text(leftX, plotHeight-12, "soft", "start", estimate(p.Ladder))
}

func cut(s string, most int) string {
	if runes := []rune(s); len(runes) > most {
		return string(runes[:most-1]) + "…"
	}
	return s
}

func (p *plot) grid() {
	if r := p.rung(p.Mark); r != nil {
		p.put(`<rect class="band" x="%.1f" y="%d" width="20" height="%d"/>`+"\n", p.x(*r)-10, topY, bottomY-topY)
	}
	for i := range 5 {
		share := float64(i) / 4
		p.put(`<path class="hair" d="M%d %.1fH%d"/>`+"\n", leftX, p.y(share), rightX)
		p.text(leftX-6, p.y(share)+4, "soft", "end", Percent(share))
	}
	if p.Plain {
		return
	}
	p.text(8, topY-12, "soft", "start", "fine detail seen")
	p.put(`<path class="limit" stroke-dasharray="1 5" d="M%d %.1fH%d"/>`+"\n", leftX, p.y(p.Share), rightX)
}

// limits marks the smallest suitable rung, the largest one, and the sizes between them.
func (p *plot) limits() {
	if p.Plain {
		p.text((leftX+rightX)/2, topY-14, "", "middle", "hardly any fine detail; carries up to "+cmp.Or(p.Carries.Rung, "none of these"))
		return
	}
	const needsY, carriesY, spanY = topY - 36, topY - 20, topY - 10
	needs, carries := p.rung(p.Needs.Rung), p.rung(p.Carries.Rung)
	if needs != nil && carries != nil && p.x(*needs) < p.x(*carries) {
		p.put(`<path class="span" d="M%.1f %dH%.1f"/>`+"\n", p.x(*needs), spanY, p.x(*carries))
	}
	p.upright(needs, needsY)
	p.upright(carries, carriesY)
	if needs != nil {
		p.limit(*needs, needsY, "needs at least "+needs.Name)
	} else {
		p.text(rightX, needsY, "over", "end", "needs more than these sizes")
	}
	if carries != nil {
		p.limit(*carries, carriesY, "carries up to "+carries.Name)
	} else {
		p.text(leftX+inside+5, carriesY, "over", "start", "too small for every size")
	}
}

// upright draws a rung's vertical line.
func (p *plot) upright(r *Rung, y float64) {
	if r != nil {
		p.put(`<path class="limit" d="M%.1f %.1fV%d"/>`+"\n", p.x(*r), y-9, bottomY)
	}
}

// limit writes a limit's name beside the top of its line, on the side with more room.
func (p *plot) limit(r Rung, y float64, name string) {
	x := p.x(r)
	name = cut(name, titleRunes/2)
	if x < (leftX+rightX)/2 {
		p.text(x+5, y, "over", "start", name)
	} else {
		p.text(x-5, y, "over", "end", name)
	}
}

// rungs writes the names of the sizes below the plot, each in the first row with room
// for it.
func (p *plot) rungs() {
	var filled [tickRows]float64
	rows := 0
	row := func(x, half float64) int {
		for i := range filled {
			if x-half >= filled[i] {
				filled[i] = x + half + charWidth
				return i
			}
		}
		return -1
	}
	for _, r := range p.Rungs {
		x, class := p.x(r), ""
		name := cut(r.Name, nameRunes)
		if r.Name == p.Mark {
			class = "marked"
		}
		at := row(x, float64(charWidth*float64(len([]rune(name)))/2))
		if at < 0 {
			p.put(`<path class="limit" d="M%.1f %dv5"/>`+"\n", x, bottomY)
			continue
		}
		rows = max(rows, at+1)
		p.put(`<path class="limit" d="M%.1f %dv%d"/>`+"\n", x, bottomY, 5+at*tickRow)
		p.text(x, float64(bottomY+18+at*tickRow), class, "middle", name)
	}
	below := float64(bottomY + 20 + rows*tickRow)
	if r := p.rung(p.Mark); r != nil {
		p.text(p.x(*r), below, "marked", "middle", "this print: "+cut(r.Name, nameRunes))
		below += tickRow + 2
	}
	p.text((leftX+rightX)/2, below+4, "soft", "middle", "size, by its long side")
}
