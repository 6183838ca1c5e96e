package report

import (
	"html/template"

	"sizewright/internal/colour"
	"sizewright/internal/record"
)

// view is another look at a print, shown on demand.
type view struct {
	Summary, Label string // what opens it; Label names the picture too
	Thumb          *thumb // nil if there is none to show
	Drawing        template.HTML
	Pairs          []pair // cut-outs
	Wide           string // what a drawing is that a phone shows a part of, "" for one that fits
	Alt, Note      string
	Full           *link // the whole file; nil if it has no place to link to
}

// views are, as far as an order has them, the proof on the paper's own white, the
// map of what the paper misses, cut-outs at the print's own pixels, the ladder
// with its rung marked, and how the print lies on its paper.
func views(e record.Entry, w *words, pics pictures) []view {
	p, urls, name := e.Record.Print, linksOf(e), e.Record.Source.Name
	var all []view
	if p.OnPaper != "" {
		v := view{Summary: w.OnPaper, Alt: w.OnPaperOf(name)}
		v.Thumb, v.Note = viewed(pics, e.Beside(p.OnPaper), thumbSide, paperBytes, "", w)
		all = append(all, v.of(name, urls.OnPaper, w))
	}
	if p.GamutMap != "" {
		v := view{Summary: w.GamutMap, Alt: w.GamutMapOf(name)}
		v.Thumb, v.Note = viewed(pics, e.Beside(p.GamutMap), mapSide, mapBytes, w.MapScale, w)
		all = append(all, v.of(name, urls.GamutMap, w))
	}
	if pairs := pairsOf(e, w, pics); len(pairs) > 0 {
		v := view{Summary: w.CutOuts, Pairs: pairs}
		all = append(all, v.of(name, "", w))
	}
	if l := e.Record.Ladder; l != nil && len(l.Rungs) > 0 {
		v := view{Summary: w.LadderPlot, Wide: w.LinkOf(w.LadderPlot, name), Drawing: template.HTML(l.SVG())} // escaped by package ladder
		all = append(all, v.of(name, "", w))
	}
	if paper := e.Record.Plan.Paper; paper != nil {
		v := view{Summary: w.SheetOf, Drawing: template.HTML(paper.Layout.SVG())} // escaped by package sheet
		all = append(all, v.of(name, urls.Diagram, w))
	}
	return all
}

// viewed is a view's thumbnail with its note, or a note that there is none.
func viewed(pics pictures, path string, side, limit int, note string, w *words) (*thumb, string) {
	t, err := pics.thumbnail(path, side, limit)
	if err != nil {
		return nil, w.NoPreview
	}
	return t, note
}

// of says which picture a view is of and where its file is.
func (v view) of(name, url string, w *words) view {
	v.Label = w.LinkOf(v.Summary, name)
	if url != "" {
		v.Full = &link{Text: w.FullSize, Label: w.LinkOf(v.Summary+", "+w.FullSize, name), URL: url}
	}
	return v
}

// colours are the facts of a print's colour: what became of it, how far the
// paper misses and where, and what a working space would have lost.
func colours(r *record.Record, w *words) []fact {
	c := r.Plan.Colour
	became := []string{w.Converted(c.Output, c.Conversion != "none", c.Intent, c.BlackPoint)}
	if c.StatedBy != "" {
		became = append(became, w.Stated(c.Source, c.StatedBy))
	}
	facts := []fact{{w.Colour, became}}
	g := r.Gamut
	if g == nil {
		return facts
	}
	misses := []string{w.Beyond(g)}
	for _, region := range g.Regions {
		misses = append(misses, w.Sentence(region.Text, ""))
	}
	facts = append(facts, fact{w.Gamut, misses})
	if len(g.Spaces) > 0 {
		facts = append(facts, fact{w.Spaces, []string{w.Losses(g.Spaces)}})
	}
	return facts
}

// gamutFacts is what matters in the morning of a measured gamut.
type gamutFacts struct {
	Profile string         `json:"profile"`
	Beyond1 float64        `json:"share_beyond_1"`
	Beyond3 float64        `json:"share_beyond_3"`
	Beyond6 float64        `json:"share_beyond_6"`
	Seen    *colour.Shares `json:"seen,omitempty"`
	Max     float64        `json:"max"`
	Regions []string       `json:"regions"`
}

func gamutFactsOf(g *colour.Gamut) *gamutFacts {
	f := &gamutFacts{
		Profile: g.Profile, Beyond1: g.Beyond1, Beyond3: g.Beyond3, Beyond6: g.Beyond6, Seen: g.Seen, Max: g.Max,
		Regions: make([]string, 0, len(g.Regions)),
	}
	for _, r := range g.Regions {
		f.Regions = append(f.Regions, r.Text)
	}
	return f
}
