package report

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"

	"golang.org/x/sync/errgroup"

	"sizewright/internal/caution"
	"sizewright/internal/edition"
	"sizewright/internal/ladder"
	"sizewright/internal/order"
	"sizewright/internal/record"
)

// card is one order as the page shows it.
type card struct {
	keys
	At       int // its place in the order of the page, or of the JSON
	Folder   string
	Sides    string // of the print, in the units asked for
	Verdict  string // in plain words
	Asked    string // of a held picture, the size that was asked for
	Carries  string // and what it would carry, or its paper hold
	Hung     *thumb // on the wall
	Tiny     *thumb // in a list
	Settled  string // the folder it was made for later the same night
	Made     []fact // how it was made: pixels and sharpening
	Colour   []fact
	Record   []fact // what nobody need read, as of the taking
	Brief    string // size and place, for the work sheet
	Figure   figure
	State    string // what it asks, where it needs somebody
	Reason   string // when held
	ToDo     string // the one thing, of an order that needs somebody
	Cautions []string
	Again    string // the print that was made before
	Views    []view // other looks at the print
	Links    []link
}

// fact is one line, or a few, under a term.
type fact struct {
	Term  string
	Lines []string
}

type link struct{ Text, Label, URL string }

// figure is a thumbnail or, without one, a block in the picture's shape with a
// few words in it.
type figure struct {
	Thumb         *thumb // nil for a block
	Large         string // URL of the preview, which lies over the thumb once it is there
	Alt           string
	Width, Height int // the block's shape
	Size, Note    string
}

// newCards makes the cards of all entries, until ctx ends.
func newCards(ctx context.Context, m Making, entries []record.Entry, n *Night, studio *os.Root) ([]card, error) {
	album := n.Album
	if album == nil {
		album = &Album{}
	}
	album.begin()
	cards := make([]card, len(entries))
	all, ctx := errgroup.WithContext(ctx)
	all.SetLimit(cmp.Or(m.Workers, runtime.GOMAXPROCS(0)))
	for i, e := range entries {
		all.Go(func() error {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			cards[i] = newCard(e, n.Units, pictures{ctx, studio, album, m.Look, nil})
			cards[i].At = i
			if m.Beat != nil {
				m.Beat()
			}
			return nil
		})
	}
	return cards, all.Wait()
}

func newCard(e record.Entry, units string, pics pictures) card {
	c := told(e, units)
	if c.Again != "" {
		return c
	}
	pics.latest = &latest{}
	if e.Record.Print != nil && e.Record.Plan != nil {
		c.Views = views(e, pics)
	}
	c.Hung, c.Tiny = small(e, pics)
	c.Figure = newFigure(e, pics)
	return c
}

// ID is that of the card's place on the page.
func (c card) ID() string { return fmt.Sprintf("order-%d", c.At+1) }

// told is a card without its pictures.
func told(e record.Entry, units string) card {
	r := &e.Record
	c := card{keys: keysOf(r), Folder: r.Order.Folder, Links: cardLinks(e)}
	c.Reason, c.ToDo = advice(r)
	c.State, c.Cautions = stateOf(r), cautionLines(r)
	switch p := r.Print; {
	case r.RepeatOf != "" && p != nil:
		c.Again = p.File
		c.Brief = sides(units, p.WidthMM, p.HeightMM) + ", " + e.Beside(p.File)
	case p != nil && r.Plan != nil:
		c.Sides, c.Verdict = sides(units, p.WidthMM, p.HeightMM), upperFirst(r.Plan.Resolution.Verdict.Words())
		if r.Plan.Resolution.MadeSmaller {
			c.Sides += ", smaller than " + r.Plan.Size.Name + ", which was asked for"
		}
		c.Brief = c.Sides + ", " + pixels(p.WidthPX, p.HeightPX) + ", " + e.Beside(p.File)
		c.Made, c.Colour = printFacts(p, r.Plan), colours(r)
		if r.Plan.Paper != nil {
			c.Sides += ", on " + typeset(r.Plan.Paper.Layout.Media+modeOf(r.Plan.Paper.Layout.Mode))
		}
		if r.Status == record.Ready && len(c.Cautions) > 0 {
			c.Record = append(c.Record, fact{"For the record", c.Cautions})
			c.Cautions = nil
		}
	case refusal(r) != nil:
		if x := r.Plan.Refusal; x.WidthMM > 0 && x.HeightMM > 0 {
			c.Carries = canBe(r) + cmp.Or(x.Size, sides(units, x.WidthMM, x.HeightMM))
			if units != Millimetres { // which the reason has
				size := typeset(fmt.Sprintf("%.0f x %.0f mm", x.WidthMM, x.HeightMM))
				c.Reason = strings.Replace(c.Reason, size, size+" ("+sides(Inches, x.WidthMM, x.HeightMM)+")", 1)
			}
		}
	}
	c.Asked = r.Order.Size
	if lines := caption(r.Source.Camera); lines != nil {
		c.Record = append(c.Record, fact{"Taken", lines})
	}
	return c
}

// The states of what needs somebody.
const (
	stateHeld   = "Held"
	stateDecide = "Decide before it is printed"
	stateLook   = "Look at this"
)

// stateOf is what an order asks of somebody: to see to it, to decide, or to look.
func stateOf(r *record.Record) string {
	if r.Status == record.Held {
		return stateHeld
	}
	if c, _ := r.Asks(); caution.Of(c).Grade == caution.NeedsYou {
		return stateDecide
	}
	return stateLook
}

// cautionLines are an order's cautions as the page sets them, the gravest first.
func cautionLines(r *record.Record) (lines []string) {
	all := slices.Clone(r.Cautions)
	slices.SortStableFunc(all, func(a, b caution.Caution) int { return int(caution.Of(b).Grade - caution.Of(a).Grade) })
	for _, x := range all {
		lines = append(lines, sentence(x.Text, r.Source.Name))
	}
	return lines
}

// canBe begins what limits the size of a held picture: the file, or the paper.
func canBe(r *record.Record) string {
	if r.Code == tooLargeForPaper {
		return "its paper holds "
	}
	return "would carry "
}

// printFacts are the facts of how a print was made.
func printFacts(p *record.Print, plan *order.Plan) []fact {
	facts := []fact{
		{"Pixels", []string{pixels(p.WidthPX, p.HeightPX)}},
		{"Resolution", resolutions(plan.Resolution, p.PPI)},
		{"Scale", []string{scaled(max(plan.Scale.X, plan.Scale.Y), plan.Scale.Kernel == "none")}}, // X and Y differ by less than a pixel over the print
		{"Sharpening", masks(plan)},
	}
	if plan.Predicted != "" {
		facts = append(facts, fact{"A network adds", []string{plan.Predicted}})
	}
	if e := p.Edition; e != nil {
		var numbers []string
		for _, t := range e.Prints {
			numbers = append(numbers, edition.Text(t.Number, e.Of)+": "+t.File)
		}
		facts = slices.Insert(facts, 0, fact{"Edition", numbers})
	} else if n := plan.Copies(); n > 1 {
		facts = slices.Insert(facts, 0, fact{"Copies", []string{fmt.Sprintf("print %d copies", n)}})
	}
	pic, crop := plan.Picture, plan.Crop
	lost := max(float64(pic.Width)-crop.Width, float64(pic.Height)-crop.Height)
	if lost >= 1 { // a part of a pixel is the shape's rounding, no crop
		lines := []string{typeset(fmt.Sprintf("%.0f x %.0f of %d x %d px", crop.Width, crop.Height, pic.Width, pic.Height))}
		if c := plan.Cropping; c != nil {
			lines = append(lines, c.Why)
		}
		facts = append(facts, fact{"Crop", lines})
	}
	return facts
}

// resolutions are what the file has in pixels and, where it was measured, in detail.
func resolutions(r order.Resolution, ppi float64) []string {
	lines := []string{typeset(fmt.Sprintf("%.0f ppi from the file at this size, printed at %s ppi", r.NativePPI, tenths(ppi)))}
	if r.DetailPPI > 0 {
		line := fmt.Sprintf("detail for about %.0f ppi of it (estimate)", r.DetailPPI)
		if r.CountedLeastPPI > 0 && r.CountedLeastPPI != r.NativePPI {
			line += ", which counts as " + r.Counts()
		}
		lines = append(lines, typeset(line))
	}
	return lines
}

func scaled(scale float64, kept bool) string {
	switch {
	case kept:
		return "as it is, pixel for pixel"
	case hundredths(max(scale, 1/scale)) == "1":
		return "at its own size"
	case scale < 1:
		return "reduced " + times(1/scale)
	}
	return "enlarged " + times(scale)
}

// masks are the sharpenings in the order they were applied.
func masks(plan *order.Plan) []string {
	var lines []string
	for _, stage := range []struct {
		when string
		s    order.Sharpening
	}{{"before enlarging", plan.PreSharpening}, {"after enlarging", plan.ScaleSharpening}, {"for the paper", plan.OutputSharpening}} {
		if stage.s.Applied {
			lines = append(lines, mask(stage.when, stage.s))
		}
	}
	if lines == nil {
		return []string{"none"}
	}
	return lines
}

func mask(when string, s order.Sharpening) string {
	radius := hundredths(s.RadiusPX) + " px"
	if s.RadiusMM > 0 {
		radius = hundredths(s.RadiusMM) + " mm (" + radius + ")"
	}
	return typeset(fmt.Sprintf("%s: %s, amount %s, limited to %s %%", when, radius, hundredths(s.Amount), tenths(100*s.Limit)))
}

// rung is the ladder's own words: of this print's rung, and of all.
func rung(l *ladder.Ladder) []string {
	lines := []string{}
	for _, r := range l.Rungs {
		if s := agreed(l, r.Sentence); r.Name == l.Mark && s != "" {
			lines = append(lines, typeset(s))
		}
	}
	if s := agreed(l, l.Verdict); s != "" {
		lines = append(lines, typeset(s))
	}
	return append(lines, "Estimates, from what was measured of the picture.")
}

// agreed is a ladder's sentence. One from before ladders had the order's own verdict is
// left out where it speaks of softness, which decided nothing then.
func agreed(l *ladder.Ladder, sentence string) string {
	if len(l.Rungs) > 0 && l.Rungs[0].Verdict == "" && strings.Contains(sentence, "soft") {
		return ""
	}
	return sentence
}

// caption tells when a picture was taken, and with what.
func caption(c record.Camera) []string {
	var lines, with []string
	if taken, err := time.Parse("2006:01:02 15:04:05", c.Taken); err == nil && !taken.IsZero() {
		lines = append(lines, taken.Format("2 January 2006, 15:04"))
	}
	camera := c.Model
	if !strings.HasPrefix(strings.ToLower(c.Model), strings.ToLower(c.Make)) {
		camera = strings.TrimSpace(c.Make + " " + c.Model)
	}
	for _, s := range []string{camera, c.Lens} {
		if s != "" {
			with = append(with, s)
		}
	}
	if c.ISO > 0 {
		with = append(with, "ISO "+strconv.Itoa(c.ISO))
	}
	if with != nil {
		lines = append(lines, strings.Join(with, ", "))
	}
	return lines
}

func cardLinks(e record.Entry) []link {
	urls := linksOf(e)
	var links []link
	for _, l := range []link{{Text: "TIFF", URL: urls.Print}, {Text: "Record", URL: urls.Record}, {Text: "Original", URL: urls.Original}} {
		if l.URL != "" {
			l.Label = l.Text + " of " + e.Record.Source.Name
			links = append(links, l)
		}
	}
	if p := e.Record.Print; p != nil {
		for i, url := range labelsOf(e) {
			links = append(links, link{"Label", "Label for the back, " + p.Labels[i], url})
		}
	}
	return links
}

func newFigure(e record.Entry, pics pictures) figure {
	r := &e.Record
	f := figure{Size: r.Order.Size, Note: "not read"}
	f.Width, f.Height = shape(r.Source.Width, r.Source.Height)
	if r.Source.Width > 0 {
		f.Note = pixels(r.Source.Width, r.Source.Height)
	}
	t, err := pics.thumbnail(pictured(e), thumbSide, thumbBytes)
	switch {
	case err == nil && r.Print == nil:
		f.Thumb, f.Alt = t, r.Source.Name+", which was held"
		return f
	case r.Print == nil:
		return f
	case err != nil:
		f.Note = noPreview
		return f
	}
	f.Thumb, f.Alt, f.Large = t, "Preview of the print of "+r.Source.Name, href(pictured(e))
	return f
}

// shape is the shape of the block that stands for a picture: its own, as far
// as words still fit into it, and 3 to 2 if it is not known.
func shape(width, height int) (w, h int) {
	switch {
	case width <= 0 || height <= 0:
		return 3, 2
	case width > 2*height:
		return 2, 1
	case height > 2*width:
		return 1, 2
	}
	return width, height
}

// pictured is the file that shows an order: the preview of its print, or the original of
// what was held.
func pictured(e record.Entry) string {
	if p := e.Record.Print; p != nil {
		return e.Beside(p.Preview)
	}
	return e.Record.Source.Original
}

// small are the pictures of an order on the wall and in a list, nil where there is none.
func small(e record.Entry, pics pictures) (hung, tiny *thumb) {
	hung, _ = pics.thumbnail(pictured(e), hungSide, hungBytes)
	tiny, _ = pics.thumbnail(pictured(e), tinySide, tinyBytes)
	return hung, tiny
}

// Fold is some facts of a card under one heading.
func (c card) Fold(summary string, facts []fact, links ...[]link) any {
	return struct {
		Summary, Name string
		Facts         []fact
		Links         []link
	}{summary, c.Name, facts, slices.Concat(links...)}
}

// Wide tells of a picture that goes across the page.
func (c card) Wide() bool {
	return c.Figure.Thumb != nil && c.Figure.Thumb.Width >= 2*c.Figure.Thumb.Height
}
