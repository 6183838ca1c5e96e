package roll

import (
	"bytes"
	"fmt"

	"sizewright/internal/plaintext"
	"sizewright/internal/plural"
)

// Shown is a print's picture for a drawing: its URL, "" for none, and where it lies on the
// upright piece, mm.
type Shown struct {
	URL                 string
	X, Y, Width, Height float64
}

// SVG draws the run to scale as it is seen with its leading edge at the left, so with its
// left side below: prints with their picture the way it lies, their number and size, cuts
// as broken lines with their number in a ring, and the paper's outline with its
// dimensions. One user unit is a millimetre. It has no colours but that of the text and
// the pictures'. picture gives that of a piece by its ID; nil for none.
func (r Run) SVG(picture func(id string) Shown) []byte {
	d := drawing{em: max(r.WidthMM/16, r.LengthMM/35), wide: r.WidthMM}
	d.open(r)
	d.f(`<rect x="0" y="0" width="%.2f" height="%.2f" stroke-width="%.2f"/>`, r.LengthMM, r.WidthMM, d.em/8)
	for n, p := range r.Pieces {
		if picture != nil {
			d.picture(p, picture(p.ID))
		}
		d.piece(n+1, p)
	}
	for _, c := range r.Cuts {
		d.cut(c)
	}
	d.sizes(r)
	d.f(`</svg>`)
	return d.Bytes()
}

// A drawing has x along the roll and y across it, from its right side: the paper is turned a
// quarter and not mirrored. em is a letter's height: the smallest
// letters have 9 pt where the drawing is printed 186 mm wide and 110 mm high at most, on A4.
type drawing struct {
	bytes.Buffer
	em   float64
	wide float64 // the roll
}

// picture shows a print's picture, paler than it is so that lines and text stay legible. A
// piece that is turned clockwise on the roll is upright here; another lies on its side.
func (d *drawing) picture(p Piece, s Shown) {
	if s.URL == "" {
		return
	}
	lies := fmt.Sprintf("matrix(0 -1 1 0 %.2f %.2f)", p.Y, d.wide-p.X)
	if p.Turned {
		lies = fmt.Sprintf("translate(%.2f %.2f)", p.Y, d.wide-p.X-p.Width)
	}
	d.f(`<image href="%s" x="%.2f" y="%.2f" width="%.2f" height="%.2f" preserveAspectRatio="none" opacity="0.5" transform="%s"/>`,
		plaintext.XML(s.URL), s.X, s.Y, s.Width, s.Height, lies)
}

// least is the smallest letters' height, of em.
const least = 0.7

func (d *drawing) f(format string, args ...any) {
	fmt.Fprintf(d, format, args...)
	d.WriteByte('\n')
}

func (d *drawing) open(r Run) {
	edge := float64(2.5 * d.em)
	d.f(`<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="%.2f %.2f %.2f %.2f" font-family="sans-serif" font-size="%.2f" fill="none" stroke="currentColor">`,
		-edge, -edge, r.LengthMM+float64(2*edge), r.WidthMM+float64(2*edge), d.em)
	d.f(`<title>%s</title>`, plaintext.XML(fmt.Sprintf("Cutting plan: %s, %s, on %s of roll %s wide",
		plural.Count(len(r.Pieces), "print", "prints"), plural.Count(len(r.Cuts), "cut", "cuts"), mm(r.LengthMM), mm(r.WidthMM))))
	d.WriteString("<desc>")
	for _, c := range r.Cuts {
		d.WriteString(plaintext.XML(c.Sentence() + " "))
	}
	d.f("</desc>")
}

// piece draws a print with its number, and its size if there is room.
func (d *drawing) piece(n int, p Piece) {
	d.f(`<g class="print"><title>%s</title>`, plaintext.XML(fmt.Sprintf("Print %d: %s, %s by %s", n, p.ID, mm(p.Width), mm(p.Height))))
	d.f(`<rect x="%.2f" y="%.2f" width="%.2f" height="%.2f" stroke-width="%.2f" fill="currentColor" fill-opacity="0.08"/>`,
		p.Y, d.wide-p.X-p.Width, p.Height, p.Width, d.em/12)
	x, y := p.Y+float64(p.Height/2), d.wide-p.X-float64(p.Width/2)
	big := max(min(1.6*d.em, p.Width*0.7, p.Height*0.5), least*d.em)
	d.label(x, y, big, fmt.Sprint(n))
	size := fmt.Sprintf("%v × %v", round1(p.Width), round1(p.Height))
	if p.Turned {
		size += ", turned"
	}
	if small := least * d.em; 0.6*small*float64(len(size)) < p.Height && 5*small < p.Width {
		d.label(x, y-big, small, size) // cuts have their number below
	}
	d.f(`</g>`)
}

// cut draws a broken line, and its number near the end where the trimmer begins.
func (d *drawing) cut(c Cut) {
	at, from, to := c.AtMM, c.FromMM, c.ToMM
	x1, y1, x2, y2 := from, d.wide-at, to, d.wide-at
	if c.Direction == Across {
		x1, y1, x2, y2 = at, d.wide-from, at, d.wide-to
	}
	d.f(`<g class="cut"><title>%s</title><line x1="%.2f" y1="%.2f" x2="%.2f" y2="%.2f" stroke-width="%.2f" stroke-dasharray="%.2f %.2f"/>`,
		plaintext.XML(c.Sentence()), x1, y1, x2, y2, d.em/8, d.em/2, d.em/4)
	r := 0.7 * d.em
	x, y := x1+float64(1.2*r), y1-float64(1.2*r)
	d.f(`<circle cx="%.2f" cy="%.2f" r="%.2f" stroke-width="%.2f"/>`, x, y, r, d.em/20)
	d.label(x, y, least*d.em, fmt.Sprint(c.Number))
	d.f(`</g>`)
}

// sizes writes the paper's two dimensions outside it.
func (d *drawing) sizes(r Run) {
	off := float64(1.2 * d.em)
	d.label(r.LengthMM/2, r.WidthMM+off, d.em, "left side, "+mm(r.LengthMM))
	d.f(`<g transform="rotate(-90 %.2f %.2f)">`, -off, r.WidthMM/2)
	d.label(-off, r.WidthMM/2, d.em, mm(r.WidthMM))
	d.f(`</g>`)
	d.label(3.5*d.em, -off, d.em, "← leading edge")
}

func (d *drawing) label(x, y, size float64, s string) {
	d.f(`<text x="%.2f" y="%.2f" font-size="%.2f" text-anchor="middle" dominant-baseline="central" fill="currentColor" stroke="none">%s</text>`,
		x, y, size, plaintext.XML(s))
}
