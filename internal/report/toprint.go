package report

import (
	"cmp"
	"fmt"
	"html/template"
	"maps"
	"path"
	"slices"
	"strings"

	"sizewright/internal/edition"
	"sizewright/internal/order"
	"sizewright/internal/packing"
	"sizewright/internal/plural"
	"sizewright/internal/record"
	"sizewright/internal/sheet"
	"sizewright/internal/sheet/roll"
)

// load is what is printed on one paper, in order.
type load struct {
	stock, media, mode string
	estimate           sheet.Estimate
	m2                 float64 // of its prints

	Title  string
	Takes  string // length, sheets, time and cost, as far as they are known
	Driver string // what to choose in the printer's driver for most of its prints, "" where they differ
	Rows   []toPrint
	Runs   []drawn
	Left   []string // for which there was no room
}

// toPrint is one print of a load.
type toPrint struct {
	card
	File   string
	Copies int    // to print, 0 where one will do
	Driver string // "" where the load says it
	Done   string // "printed" or "reprinted", "" while it waits
	Again  string // what of it is to be printed once more, or alone; "" where that is plain
	Pieces string // its numbers on the cutting plan, "" for none

	estimate sheet.Estimate
	places   []place    // of its copies on the cutting plan
	lies     sheet.Rect // of its picture on its piece, mm
	tiffs    []record.Numbered
}

// place is where a copy of a print lies: a piece of a run, both counted from 1.
type place struct {
	Run   int `json:"run"`
	Piece int `json:"piece"`
}

// has tells whether a piece of a cutting plan is one of its TIFFs.
func (t *toPrint) has(piece string) bool {
	return slices.ContainsFunc(t.tiffs, func(x record.Numbered) bool { return t.Folder+"/"+x.File == piece })
}

// filesOf names the TIFFs of a print: one, or one for each number of its edition.
func filesOf(p *record.Print) string {
	var all []string
	for _, t := range p.TIFFs() {
		all = append(all, t.File)
	}
	return strings.Join(all, ", ")
}

// loadsOf are the night's prints by the paper they go on.
func loadsOf(entries []record.Entry, cards []card, paper *packing.Paper) []load {
	var all []load
	for i, e := range entries {
		r := &e.Record
		if r.Status == record.Held || r.RepeatOf != "" && !r.Reprint || r.Print == nil {
			continue
		}
		l := load{stock: r.Order.Stock}
		row := toPrint{card: cards[i], File: filesOf(r.Print), tiffs: r.Print.TIFFs(), Driver: driverOf(r), Again: againWords(r)}
		if on := r.OnPaper(); on == record.Printed || on == record.Reprinted {
			row.Done = on.Words()
		}
		if r.Plan != nil {
			if copies := r.Plan.Copies(); copies > 1 && r.Print.Edition == nil {
				row.Copies = copies
			}
		}
		if r.Plan != nil && r.Plan.Paper != nil {
			l.media, l.mode = r.Plan.Paper.Layout.Media, r.Plan.Paper.Layout.Mode
			if r.Plan.Paper.Pack != nil {
				l.stock = "" // one roll, one packing
				row.lies = r.Plan.Paper.Layout.Picture
			} else {
				row.estimate = r.Plan.Paper.Estimate
			}
		}
		k := slices.IndexFunc(all, func(x load) bool { return x.stock == l.stock && x.media == l.media && x.mode == l.mode })
		if k < 0 {
			k = len(all)
			all = append(all, l)
		}
		if row.Done == "" {
			all[k].m2 += r.Print.WidthMM * r.Print.HeightMM / 1e6
		}
		all[k].Rows = append(all[k].Rows, row)
	}
	for i := range all {
		all[i].fill(paper)
	}
	slices.SortStableFunc(all, func(a, b load) int {
		return cmp.Or(cmp.Compare(a.named(), b.named()), cmp.Compare(a.media, b.media), cmp.Compare(a.mode, b.mode))
	})
	return all
}

// named puts what has no paper last.
func (l *load) named() int {
	if l.media == "" {
		return 1
	}
	return 0
}

// againWords say of a print that waits which of its numbers do, if not all for the first time.
func againWords(r *record.Record) string {
	waiting, spoiled := r.ToPrint(), r.Spoiled()
	if len(waiting) == 0 {
		return ""
	}
	what := "print"
	if e := r.Print.Edition; e != nil {
		var numbers []string
		for _, n := range waiting {
			numbers = append(numbers, edition.Text(n, e.Of))
		}
		what += " " + plural.List(numbers, "and")
	}
	switch {
	case len(spoiled) > 0 && len(spoiled) == len(waiting):
		return what + " again, since it came out spoiled"
	case len(spoiled) > 0:
		return what + ", of which some came out spoiled"
	case r.Reprint:
		return what + " again: it was on paper before"
	case r.Print.Edition != nil && len(waiting) < len(r.EditionNumbers()):
		return what + "; the others are printed"
	}
	return ""
}

// driverOf is what a person chooses in the driver for a print: its size stays as it is, and
// its colours are changed once, by us or by the driver.
func driverOf(r *record.Record) string {
	if r.Plan == nil {
		return ""
	}
	text := "100\u00a0%"
	if p := r.Plan.Paper; p != nil && p.Layout.Mode != "" {
		text = "mode " + p.Layout.Mode + ", " + text
	}
	name := cmp.Or(r.Plan.Colour.Output, "a profile without a name")
	if r.Plan.Colour.Conversion == order.ToStock {
		return text + ", no colour change: the file has the colours of " + name
	}
	return text + ", colours converted from " + name + " to the paper\u2019s profile"
}

// fill adds what the rows of a load come to, and its cutting plan.
func (l *load) fill(paper *packing.Paper) {
	l.Title = cmp.Or(l.media, l.stock, "Folders that name no paper")
	if l.media != "" && l.stock != "" && l.stock != l.media {
		l.Title += ", " + l.stock
	}
	var sum sheet.Estimate
	for _, row := range l.Rows {
		sum = sum.Plus(row.estimate)
	}
	if paper != nil {
		for _, p := range paper.Packings {
			if p.Media == l.media && p.Mode == l.mode {
				sum = sum.Plus(p.Estimate)
				l.cut(p)
			}
		}
	}
	slices.SortStableFunc(l.Rows, func(a, b toPrint) int { return slices.CompareFunc(a.places, b.places, inPlanOrder) })
	for i := range l.Rows {
		l.Rows[i].Pieces = numbersOf(l.Rows[i].places)
	}
	l.agree()
	l.estimate = sum
	if sum.Prints > 0 {
		l.Takes = typeset(sum.String())
	}
}

// agree has the load say what the driver is to be told for most of its prints; the others
// say their own.
func (l *load) agree() {
	told := map[string]int{}
	for _, row := range l.Rows {
		if told[row.Driver]++; 2*told[row.Driver] > len(l.Rows) {
			l.Driver = row.Driver
		}
	}
	for i := range l.Rows {
		if l.Rows[i].Driver == l.Driver {
			l.Rows[i].Driver = ""
		}
	}
}

// cut adds one packing: its drawings, and the number that each print has on them.
func (l *load) cut(p packing.Packing) {
	for i, run := range p.Plan.Runs {
		title := runTitle(i+1, run, p.Plan)
		if len(p.Files) > i && p.Files[i] != "" {
			title += "; the whole run is " + p.Files[i] + ", beside this page"
		}
		if i < p.Printed {
			title += "; on paper, at least in part, so what came later is on another run"
		}
		d := drawn{Title: title, Drawing: template.HTML(run.SVG(l.shown(len(run.Pieces))))} // escaped by package roll
		for k, piece := range run.Pieces {
			d.Pieces = append(d.Pieces, pieceLine(piece))
			for j := range l.Rows {
				if row := &l.Rows[j]; row.has(piece.ID) {
					row.places = append(row.places, place{i + 1, k + 1})
				}
			}
		}
		for _, c := range run.Cuts {
			d.Cuts = append(d.Cuts, typeset(c.Sentence()))
		}
		l.Runs = append(l.Runs, d)
	}
	names := map[string][]string{}
	for _, u := range p.Plan.Unplaced {
		names[u.Sentence] = append(names[u.Sentence], path.Base(u.ID))
	}
	for _, why := range slices.Sorted(maps.Keys(names)) {
		l.Left = append(l.Left, "No room for "+plural.List(names[why], "and")+". "+typeset(why))
	}
}

// shown gives the pictures for the drawing of a run of so many pieces, by their ID.
func (l *load) shown(pieces int) func(id string) roll.Shown {
	const many = 40 // of which each is small
	return func(id string) roll.Shown {
		for i := range l.Rows {
			row := &l.Rows[i]
			t := row.Hung
			if pieces > many {
				t = row.Tiny
			}
			if t != nil && row.has(id) {
				return roll.Shown{URL: string(t.URI), X: row.lies.X, Y: row.lies.Y, Width: row.lies.Width, Height: row.lies.Height}
			}
		}
		return roll.Shown{}
	}
}

// drawn is one run of a packing as the page shows it.
type drawn struct {
	Title   string
	Drawing template.HTML
	Pieces  []string // where each lies
	Cuts    []string
}

// runTitle is one run of a roll, its length and what is not printed on.
func runTitle(n int, r roll.Run, p roll.Plan) string {
	text := fmt.Sprintf("%.2f m", r.LengthMM/1000)
	if len(p.Runs) > 1 {
		text = fmt.Sprintf("run %d of %d: %s", n, len(p.Runs), text)
	}
	return upperFirst(typeset(fmt.Sprintf("%s; %.0f %% of the paper goes unused", text, 100*p.WasteShare)))
}

func inPlanOrder(a, b place) int {
	return cmp.Or(cmp.Compare(a.Run, b.Run), cmp.Compare(a.Piece, b.Piece))
}

// numbersOf names the pieces of a print on the cutting plan: "pieces 1 and 2, and 3 of run 2".
func numbersOf(places []place) string {
	var runs []string
	for i := 0; i < len(places); {
		run := places[i].Run
		var pieces []string
		for ; i < len(places) && places[i].Run == run; i++ {
			pieces = append(pieces, fmt.Sprint(places[i].Piece))
		}
		text := plural.List(pieces, "and")
		if run > 1 {
			text += fmt.Sprintf(" of run %d", run)
		}
		runs = append(runs, text)
	}
	if runs == nil {
		return ""
	}
	return plural.Noun(len(places), "piece ", "pieces ") + strings.Join(runs, ", and ")
}

// severalTake tells whether more than one load says what it takes: only then is there a sum.
func severalTake(loads []load) bool {
	n := 0
	for _, l := range loads {
		if l.Takes != "" {
			n++
		}
	}
	return n > 1
}

// paperFigure is what the night takes of paper in a few words, "" where nothing is printed.
// Of prints without a known paper it is their area.
func paperFigure(p *packing.Paper, loads []load) (figure, of string) {
	if p == nil || p.Estimate.Prints == 0 {
		var m2 float64
		for _, l := range loads {
			m2 += l.m2
		}
		if m2 == 0 {
			return "", ""
		}
		return typeset(fmt.Sprintf("%.2f m\u00b2", m2)), "to print; no paper is named"
	}
	e := p.Estimate
	sheets := plural.Noun(e.Sheets, "sheet", "sheets")
	switch {
	case e.RollM > 0 && e.Sheets > 0:
		figure, of = fmt.Sprintf("%.1f m", e.RollM), fmt.Sprintf("of roll, and %d %s", e.Sheets, sheets)
	case e.RollM > 0:
		figure, of = fmt.Sprintf("%.1f m", e.RollM), "of roll"
	case e.Sheets > 0:
		figure, of = fmt.Sprint(e.Sheets), sheets+" of paper"
	default:
		figure, of = fmt.Sprintf("%.2f m\u00b2", e.PaperM2), "of paper"
	}
	return typeset(figure), of + unnamed("; ", loads)
}

// unnamed tells how many prints lie on no known paper, "" for none.
func unnamed(before string, loads []load) string {
	n := 0
	for _, l := range loads {
		for _, row := range l.Rows {
			if l.media == "" && row.Done == "" {
				n++
			}
		}
	}
	if n == 0 {
		return ""
	}
	return before + plural.Count(n, "print names", "prints name") + " no paper"
}
