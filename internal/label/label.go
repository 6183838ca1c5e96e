// Package label draws what is glued to the back of a print: what it is, whose, which of an
// edition, how large and on what.
package label

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"unicode/utf8"

	"sizewright/internal/plaintext"
)

// Words are a label's lines; what is "" is left out.
type Words struct {
	Title   string
	Maker   string
	Edition string // 4/25
	Size    string
	Paper   string
	Date    string
}

// The label's measures, in mm (house judgement).
const (
	widthMM  = 100
	marginMM = 6
	titleMM  = 5.5 // height of its letters
	lineMM   = 3.8
	leading  = 1.6
	letter   = 0.6 // how wide a letter is at most on average, of its height
)

// SVG draws the label at its size. A line that would be too long is drawn narrower, so
// that nothing of it is lost.
func SVG(w Words) []byte {
	type line struct {
		height float64
		text   string
	}
	lines := []line{{titleMM, w.Title}, {lineMM, w.Maker}}
	for _, x := range []struct{ before, text string }{{"Edition ", w.Edition}, {"", w.Size}, {"", w.Paper}, {"", w.Date}} {
		if x.text != "" {
			x.text = x.before + x.text
		}
		lines = append(lines, line{lineMM, x.text})
	}
	var body bytes.Buffer
	y := float64(marginMM)
	for _, l := range lines {
		text := plaintext.Line(l.text)
		if text == "" {
			continue
		}
		y += float64(l.height * leading)
		fit := ""
		if room := widthMM - 2*marginMM; float64(utf8.RuneCountInString(text))*letter*l.height > float64(room) {
			fit = fmt.Sprintf(` textLength="%d" lengthAdjust="spacingAndGlyphs"`, room)
		}
		fmt.Fprintf(&body, "<text x=\"%d\" y=\"%.2f\" font-size=\"%v\"%s>", marginMM, y, l.height, fit)
		xml.EscapeText(&body, []byte(text)) // a buffer takes all
		body.WriteString("</text>\n")
	}
	height := y + marginMM
	return fmt.Appendf(nil, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%dmm\" height=\"%.2fmm\" viewBox=\"0 0 %d %.2f\" font-family=\"serif\">\n"+
		"<rect width=\"%d\" height=\"%.2f\" fill=\"#fff\"/>\n%s</svg>\n", widthMM, height, widthMM, height, widthMM, height, body.String())
}
