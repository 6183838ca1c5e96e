package sheet

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"

	"sizewright/internal/plaintext"
)

// The diagram's measures in its own units, which are CSS pixels at its natural size.
const (
	drawnLonger = 440 // the longer side of the paper
	drawnAround = 82  // for dimensions, on every side
	textSize    = 12
	lineHeight  = 17
)

// diagram draws a layout. Everything has the colour of the surrounding text
// (currentColor); kinds of line and hatching tell things apart.
type diagram struct {
	bytes.Buffer
	l      Layout
	all    Rect // sheet and print: a print may be larger than its paper
	facts  []string
	shown  string  // URL of the picture, "" for none
	scale  float64 // units per millimetre
	dx, dy float64 // of the sheet's corner
}

// SVG draws the layout in its own frame, to scale, with dimensions in millimetres. In a
// page the drawing takes the colour of the text; as a file of its own it follows the
// reader's light or dark setting. It has no script and no ids. For a layout with problems
// it lists them.
func (l Layout) SVG() []byte { return l.SVGWith("") }

// SVGWith is [Layout.SVG] with the picture in its place, paler than it is so that lines and
// text stay legible. picture is its URL, or "" for none.
func (l Layout) SVGWith(picture string) []byte {
	d := &diagram{l: l, shown: picture}
	if len(l.Problems) > 0 {
		d.faults()
		return d.Bytes()
	}
	all := l.Sheet.union(l.Ink).union(l.Outer)
	d.all, d.facts = all, l.facts()
	d.scale = drawnLonger / max(all.Width, all.Height)
	d.dx, d.dy = drawnAround-float64(all.X*d.scale), drawnAround-float64(all.Y*d.scale)
	width, height := float64(all.Width*d.scale)+2*drawnAround, float64(all.Height*d.scale)+2*drawnAround
	d.open(max(width, 420), height+float64(float64(len(d.facts))*lineHeight))
	d.paper()
	d.print()
	d.dimensions()
	if l.LeadingEdge != Loose {
		d.centres()
	}
	d.foot(height)
	d.WriteString("</svg>\n")
	return d.Bytes()
}

func (d *diagram) open(width, height float64) {
	title := "Layout on " + d.l.Media
	d.add(`<svg xmlns="http://www.w3.org/2000/svg" class="sheet" role="img" width="%.0f" height="%.0f" viewBox="0 0 %.0f %.0f"`, width, height, width, height)
	d.add(` fill="none" stroke="currentColor" stroke-width="1" font-family="system-ui, sans-serif" font-size="%d">`+"\n", textSize)
	// For a file of its own only; in a page, the page's colour applies.
	d.WriteString("<style>svg.sheet:root{color:#1d1d1d}@media (prefers-color-scheme:dark){svg.sheet:root{color:#e4e4e4;background:#161616}}</style>\n")
	d.add("<title>%s</title>\n", plaintext.XML(title))
	d.add("<desc>%s</desc>\n", plaintext.XML(strings.Join(d.facts, "; ")))
}

func (d *diagram) add(format string, args ...any) { fmt.Fprintf(&d.Buffer, format, args...) }

func (d *diagram) x(mm float64) float64 { return d.dx + float64(mm*d.scale) }
func (d *diagram) y(mm float64) float64 { return d.dy + float64(mm*d.scale) }

// rect draws a rectangle of the layout.
func (d *diagram) rect(class string, r Rect, style string) {
	d.add(`<rect class="%s" x="%.2f" y="%.2f" width="%.2f" height="%.2f" %s/>`+"\n", class, d.x(r.X), d.y(r.Y), r.Width*d.scale, r.Height*d.scale, style)
}

func (d *diagram) line(class string, s Segment, style string) {
	d.add(`<line class="%s" x1="%.2f" y1="%.2f" x2="%.2f" y2="%.2f" %s/>`+"\n", class, d.x(s.X1), d.y(s.Y1), d.x(s.X2), d.y(s.Y2), style)
}

// text writes at a position in the drawing's own units, turned by that many degrees.
func (d *diagram) text(x, y float64, anchor string, turn int, s string) {
	turned := ""
	if turn != 0 {
		turned = fmt.Sprintf(` transform="rotate(%d %.2f %.2f)"`, turn, x, y)
	}
	d.add(`<text x="%.2f" y="%.2f" text-anchor="%s"%s fill="currentColor" stroke="none">%s</text>`+"\n", x, y, anchor, turned, plaintext.XML(s))
}

// Kinds of line.
const (
	full   = `stroke-width="1.6"`
	thin   = `stroke-width="0.8"`
	dashed = `stroke-dasharray="6 3" stroke-width="0.8"`
	dotted = `stroke-dasharray="1.5 2.5"`
	chain  = `stroke-dasharray="10 3 2 3"`
	faint  = `stroke-width="0.7" stroke-opacity="0.5"`
)

// paper draws the sheet with its margins hatched, and names the leading edge.
func (d *diagram) paper() {
	l := d.l
	d.rect("paper", l.Sheet, full)
	for _, r := range frameOf(l.Printable, l.Sheet) {
		d.hatch("margin", r, 5, 1)
	}
	d.rect("printable", l.Printable, dashed)
	const off = 10
	switch l.LeadingEdge {
	case "right":
		d.text(d.x(d.all.Right())+off, d.y(l.Sheet.Height/2), "middle", 90, "leading edge")
	case "top":
		d.text(d.x(l.Sheet.Width/2), d.y(d.all.Y)-off+2, "middle", 0, "leading edge")
	}
}

// print draws what is on the paper, from the outside in.
func (d *diagram) print() {
	l := d.l
	if l.outlined() {
		d.rect("outer", l.Outer, chain)
	}
	for _, r := range frameOf(l.Picture, l.Ink) {
		d.hatch("edges", r, 4, -1)
	}
	if l.Ink != l.Picture {
		d.rect("ink", l.Ink, thin)
	}
	if l.Opening != nil {
		d.rect("opening", *l.Opening, dotted)
	}
	d.picture()
	d.rect("picture", l.Picture, `stroke-width="2.2" fill="currentColor" fill-opacity="0.1"`)
	for _, m := range l.Marks {
		d.line("mark "+string(m.Kind), m.Segment, `stroke-width="1.2"`)
	}
	for _, s := range l.Folds {
		d.line("fold", s, dotted)
	}
	d.caption()
	d.top()
}

// picture shows the picture itself, the way it lies.
func (d *diagram) picture() {
	if d.shown == "" {
		return
	}
	p := d.l.Picture
	cx, cy := d.x(p.X+float64(p.Width/2)), d.y(p.Y+float64(p.Height/2))
	w, h, turn := p.Width*d.scale, p.Height*d.scale, 0
	if d.onItsSide() {
		w, h, turn = h, w, -90
	}
	d.add(`<image href="%s" x="%.2f" y="%.2f" width="%.2f" height="%.2f" preserveAspectRatio="none" opacity="0.45" transform="rotate(%d %.2f %.2f)"/>`+"\n",
		plaintext.XML(d.shown), cx-float64(w/2), cy-float64(h/2), w, h, turn, cx, cy)
}

// onItsSide reports whether the picture's top is at the drawing's left.
func (d *diagram) onItsSide() bool { return d.l.Turned && d.l.LeadingEdge == "top" }

// outlined reports whether the outer size has an edge of its own.
func (l Layout) outlined() bool { return l.Outer != l.Ink && l.Outer != l.Picture }

func (d *diagram) caption() {
	if d.l.Caption == nil {
		return
	}
	d.rect("caption", *d.l.Caption, `stroke-width="0.8" fill="currentColor" fill-opacity="0.35"`)
}

// top marks the picture's top edge with an arrow head inside it.
func (d *diagram) top() {
	p := d.l.Picture
	x, y := d.x(p.X+float64(p.Width/2)), d.y(p.Y)+8
	ax, ay, bx, by := x-5, y+8, x+5, y+8
	tx, ty, turn := x, y+22, 0
	if d.onItsSide() {
		x, y = d.x(p.X)+8, d.y(p.Y+float64(p.Height/2))
		ax, ay, bx, by = x+8, y-5, x+8, y+5
		tx, ty, turn = x+22, y, -90
	}
	d.add(`<path class="top" d="M%.2f %.2fL%.2f %.2fL%.2f %.2fZ" fill="currentColor" stroke="none"/>`+"\n", x, y, ax, ay, bx, by)
	if min(p.Width, p.Height)*d.scale > 60 {
		d.text(tx, ty, "middle", turn, "top")
	}
}

// centres marks the sheet's centre with a cross and the picture's centre with a ring.
func (d *diagram) centres() {
	sx, sy := d.l.Sheet.Centre()
	px, py := d.l.Picture.Centre()
	x, y := d.x(sx), d.y(sy)
	d.add(`<path class="centre" d="M%.2f %.2fh14M%.2f %.2fv14" stroke-width="1"/>`+"\n", x-7, y, x, y-7)
	d.add(`<circle class="centre" cx="%.2f" cy="%.2f" r="3.5"/>`+"\n", d.x(px), d.y(py))
}

// shortened cuts a text to at most that many runes.
func shortened(s string, most int) string {
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most-1]) + "\u2026"
}
