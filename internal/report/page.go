package report

import (
	"bytes"
	"context"
	_ "embed"
	"fmt"
	"html/template"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"

	"sizewright/internal/plaintext"
	"sizewright/internal/plural"
	"sizewright/internal/record"
	"sizewright/internal/remedy"
)

//go:embed page.css
var pageStyle string

//go:embed page.gohtml
var pageLayout string

// dayFormat is how a night is named on a page.
const dayFormat = "Monday 2 January 2006"

var layout = template.Must(template.Must(template.New("page").Parse(pageLayout)).Parse(indexLayout))

// page is what the layout is given: every text final, every order in the one
// place where it is shown.
type page struct {
	Style  template.CSS
	Policy string // where a script may come from
	Find   *finder

	Date, Day, Night string
	Hours            string // from when to when
	Facts            string // URL of the report's JSON, "" for none
	Figures          []figureOf

	Wall    *wallPart
	Undone  []note // pictures that wait
	Causes  []cause
	Settled []card
	Faults  []note
	Sum     string // what all loads take
	Loads   []load
	Spoiled []string // prints of earlier nights, to be printed again
	Ready   []group
	Left    []note // all else that was left alone
	Outbox  string // what its printed prints take
}

// figureOf is one number that matters, and where it leads.
type figureOf struct{ Figure, Of, To, Class string }

// Quiet says that nothing needs anybody, though there is something to see.
func (p *page) Quiet() bool { return !p.Needs() && len(p.Faults) == 0 && len(p.Ready) > 0 }

// Needs says that something needs somebody, or did.
func (p *page) Needs() bool { return len(p.Undone)+len(p.Causes)+len(p.Settled) > 0 }

// note is a fault, or something that was left alone.
type note struct {
	keys
	Folder, Text string
}

// Making is how a page is made: nearly all of the work is its small pictures.
type Making struct {
	Root    string // the studio's
	Workers int    // 0 for one a core
	Look    Look   // decodes what was held, to show it; nil for grey blocks
	Beat    func() // hears of every order that is on the page; nil for none
}

// Page is the night as a page. The thumbnails are made from the previews in
// the outbox of the studio at root; where one is missing or cannot be read the
// page does without. The page is to lie in outbox/morning/, where its links
// lead from. It
// ends with ctx, in about the time that one order's small pictures take.
func (n *Night) Page(ctx context.Context, m Making) ([]byte, error) {
	studio, err := os.OpenRoot(m.Root)
	if err != nil {
		return nil, err
	}
	defer studio.Close()
	entries := legible(inPageOrder(n.Records))
	cards, err := newCards(ctx, m, entries, n, studio)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := layout.Execute(plaintext.Writer(&b), n.page(entries, cards)); err != nil {
		return nil, fmt.Errorf("the morning page of %s: %w", n.Date, err)
	}
	return b.Bytes(), nil
}

// page shows entries by their cards.
func (n *Night) page(entries []record.Entry, cards []card) *page {
	settled := settledIn(entries)
	for i, folder := range settled {
		cards[i].Settled = folder
	}
	p := &page{
		Style: template.CSS(pageStyle), Policy: "'none'",
		Date: n.Date, Day: n.Date, Night: n.headline(), Hours: strings.TrimSpace(span(n.Span())),
		Wall: newWall(n.Units, entries, cards), Causes: causesOf(entries, cards, settled), Loads: loadsOf(entries, cards, n.Paper),
	}
	if n.Outbox != nil {
		p.Outbox = typeset(n.Outbox.Sentence())
		for _, e := range legible(n.Outbox.Spoiled) {
			if !slices.ContainsFunc(entries, func(x record.Entry) bool { return x.Path == e.Path }) {
				p.Spoiled = append(p.Spoiled, e.Record.Source.Name+" for "+e.Record.Order.Folder+": "+againWords(&e.Record)+" ("+e.Beside(e.Record.Print.File)+")")
			}
		}
	}
	if day, err := time.Parse(time.DateOnly, n.Date); err == nil {
		p.Day, p.Facts = day.Format(dayFormat), n.Date+".json"
	}
	for i, e := range entries {
		switch r := &e.Record; {
		case settled[i] != "":
			p.Settled = append(p.Settled, cards[i])
		case r.Status != record.Held:
			p.Ready = addToGroup(p.Ready, r, cards[i])
		}
	}
	noteJobs(p.Ready, n)
	for _, f := range n.Faults {
		p.Faults = append(p.Faults, note{keysOfFault(f), plaintext.Line(f.Folder), sentence(plaintext.Line(f.Why()), plaintext.Line(f.Name))})
	}
	for _, l := range n.Left {
		folder, name := plaintext.Line(l.Folder), plaintext.Line(l.Name)
		why := strings.TrimPrefix(plaintext.Line(l.Text), path.Join("drop", folder, name)+": ") // the line above says it
		x := note{keys{Name: name}, folder, sentence(remedy.Join(why, plaintext.Line(l.Remedy)), name)}
		if l.Undone() {
			p.Undone = append(p.Undone, x)
		} else {
			p.Left = append(p.Left, x)
		}
	}
	p.Figures = n.figures(p)
	if n.Paper != nil && severalTake(p.Loads) {
		p.Sum = typeset(n.Paper.Estimate.String()) + unnamed("; ", p.Loads)
	}
	if p.Find = newFinder(p.keys()); p.Find != nil {
		p.Policy = scriptSource()
	}
	return p
}

// legible are records as they are read: names and sentences each in one line, with
// nothing in them that turns or hides what stands beside it. Paths stay true.
func legible(entries []record.Entry) []record.Entry {
	all := slices.Clone(entries)
	for i := range all {
		r := &all[i].Record
		for _, text := range []*string{&r.Source.Name, &r.Order.Folder, &r.Reason, &r.Remedy} {
			*text = plaintext.Line(*text)
		}
		r.Cautions = slices.Clone(r.Cautions)
		for c := range r.Cautions {
			r.Cautions[c].Text = plaintext.Line(r.Cautions[c].Text)
		}
	}
	return all
}

// keys are those of every order, as they come on the page.
func (p *page) keys() []keys {
	var all []keys
	cards := func(cs []card) {
		for _, c := range cs {
			all = append(all, c.keys)
		}
	}
	for _, c := range p.Causes {
		if c.Held {
			cards(c.Cards)
		}
	}
	cards(p.Settled)
	for _, g := range p.Ready {
		cards(g.Cards)
		cards(g.Again)
	}
	for _, f := range p.Faults {
		all = append(all, f.keys)
	}
	return all
}

// figures are the numbers that matter: prints ready, decisions needed, paper to load. A
// print that is to be looked at first counts as a decision alone.
func (n *Night) figures(p *page) []figureOf {
	c := n.Counts()
	made, decisions := c.Ready+c.WithCautions, n.Unmade()
	for _, x := range p.Causes {
		decisions += len(x.Cards)
	}
	if made+decisions+len(p.Faults) == 0 {
		return nil
	}
	figures := []figureOf{
		{strconv.Itoa(c.Ready), plural.Noun(c.Ready, "print ready", "prints ready"), "", ""},
		{strconv.Itoa(decisions), plural.Noun(decisions, "needs you", "need you"), "", ""},
	}
	if len(p.Ready) > 0 {
		figures[0].To = "ready"
	}
	if decisions > 0 {
		figures[1].To, figures[1].Class = "needs", "need-you"
	}
	if figure, of := paperFigure(n.Paper, p.Loads); figure != "" {
		figures = append(figures, figureOf{figure, of, "print", ""})
	}
	if n := len(p.Faults); n > 0 {
		figures = append(figures, figureOf{strconv.Itoa(n), "went wrong", "wrong", "need-you"})
	}
	return figures
}
