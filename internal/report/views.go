package report

import (
	"fmt"
	"html/template"
	"strings"
	"sync"

	"sizewright/internal/colour"
	"sizewright/internal/record"
)

// view is another look at a print, shown on demand.
type view struct {
	Summary, Label string // what opens it; Label names the picture too
	Thumb          *thumb // nil if there is none to show
	Drawing        template.HTML
	Pairs          []pair // cut-outs
	Alt, Note      string
	Facts          []fact
	Full           *link // the whole file; nil if it has no place to link to
}

// mapNote is how a gamut map is read.
const mapNote = "Grey is held, or misses by less than calls for a caution. A miss of 1 (CIEDE2000) is dark violet; from there it goes by rose and orange to pale yellow, which is 12 or more."

// missScale draws the map's colours, each with the miss it stands for.
var missScale = sync.OnceValue(func() template.HTML {
	var b strings.Builder
	b.WriteString(`<svg class="miss" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 336 34" width="336" height="34" role="img" aria-label="Scale of the map, from a miss of 1 to one of 12 or more">`)
	for i, miss := range []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12} {
		c := colour.MissColour(miss)
		fmt.Fprintf(&b, `<rect x="%d" width="28" height="14" fill="#%02x%02x%02x"/>`, 28*i, c.R, c.G, c.B)
		fmt.Fprintf(&b, `<text x="%d" y="30" text-anchor="middle" fill="currentColor">%s</text>`, 28*i+14, map[bool]string{true: "12+", false: fmt.Sprint(miss)}[miss == 12])
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
})

// views are, as far as an order has them, the crop, the proof on the paper's own white, the
// map of what the paper misses, cut-outs at the print's own pixels, the ladder
// with its rung marked, and how the print lies on its paper.
func views(e record.Entry, pics pictures) []view {
	p, urls, name := e.Record.Print, linksOf(e), e.Record.Source.Name
	var all []view
	add := func(summary, url string, v view) {
		v.Summary, v.Label = summary, summary+" of "+name
		if url != "" {
			v.Full = fullSize(summary, name, url)
		}
		all = append(all, v)
	}
	if p.Cropped != "" {
		v := pics.view(e.Beside(p.Cropped), thumbSide, paperBytes, "What is printed lies in the frame.")
		v.Alt = "The whole of " + name + ", with a frame around what is printed"
		add("Where it is cropped", urls.Cropped, v)
	}
	if p.OnPaper != "" {
		v := pics.view(e.Beside(p.OnPaper), thumbSide, paperBytes, "")
		v.Alt = "The print of " + name + " on the paper\u2019s own white"
		add("On the paper\u2019s own white", urls.OnPaper, v)
	}
	if p.GamutMap != "" {
		v := pics.view(e.Beside(p.GamutMap), mapSide, mapBytes, mapNote)
		if v.Thumb != nil {
			v.Drawing = missScale()
		}
		v.Alt = "Map of where the paper misses the colours of " + name + ", and by how much"
		add("Where the paper misses", urls.GamutMap, v)
	}
	if pairs := pairsOf(e, pics); len(pairs) > 0 {
		add("Cut-outs, pixel for pixel", "", view{Pairs: pairs})
	}
	if l := e.Record.Ladder; l != nil && len(l.Rungs) > 0 {
		const summary = "How large it can go"
		add(summary, "", view{Drawing: template.HTML(rule(l)), Facts: []fact{{"At this size", rung(l)}}}) // escaped by rule
	}
	if paper := e.Record.Plan.Paper; paper != nil {
		add("On its paper", urls.Diagram, view{Drawing: template.HTML(paper.Layout.SVGWith(pics.laid(e))), Facts: []fact{{"Laid on", onPaper(paper)}}}) // escaped by package sheet
	}
	return all
}

// laid is the picture for a drawing of its paper, "" for none.
func (p pictures) laid(e record.Entry) string {
	t, err := p.thumbnail(pictured(e), laidSide, laidBytes)
	if err != nil {
		return ""
	}
	return string(t.URI)
}

// view is a thumbnail with its note, or a note that there is none.
func (p pictures) view(path string, side, limit int, note string) view {
	t, err := p.thumbnail(path, side, limit)
	if err != nil {
		return view{Note: noPreview}
	}
	return view{Thumb: t, Note: note}
}

// noPreview stands in place of a thumbnail that cannot be made.
const noPreview = "no preview"

// fullSize leads to the whole file of a view of a picture.
func fullSize(view, name, url string) *link {
	return &link{Text: "Full size", Label: view + ", Full size of " + name, URL: url}
}
