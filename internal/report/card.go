package report

import (
	"cmp"
	"context"
	"os"
	"runtime"
	"strings"
	"time"

	"golang.org/x/sync/errgroup"

	"sizewright/internal/record"
	"sizewright/internal/render"
)

// card is one order as the page shows it.
type card struct {
	keys
	Brief    string   // size and place, for the work sheet
	Folder   string   // as in "for A2"
	Caption  []string // of the taking, from the EXIF
	Figure   figure
	Reason   string // when held
	ToDo     string // the one thing, of an order that needs somebody
	Cautions []string
	Again    string // when made before
	Facts    []fact
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
	Alt           string
	Width, Height int // the block's shape
	Size, Note    string
}

// newCards makes the cards of all entries, until ctx ends.
func newCards(ctx context.Context, m Making, entries []record.Entry, w *words, studio *os.Root, album *Album) ([]card, error) {
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
			cards[i] = newCard(e, w, pictures{studio, album})
			if m.Beat != nil {
				m.Beat()
			}
			return nil
		})
	}
	return cards, all.Wait()
}

func newCard(e record.Entry, w *words, pics pictures) card {
	r := &e.Record
	c := card{
		keys:    keysOf(r),
		Folder:  w.InFolder(r.Order.Folder),
		Caption: caption(r.Source.Camera, w),
		Links:   cardLinks(e, w),
	}
	c.Reason, c.ToDo = advice(r, w)
	for _, x := range r.Cautions {
		c.Cautions = append(c.Cautions, w.Sentence(x.Text, r.Source.Name))
	}
	switch {
	case r.RepeatOf != "" && r.Print != nil:
		c.Again = w.MadeAs(r.Print.File)
		return c
	case r.Print != nil && r.Plan != nil:
		c.Brief = w.BriefOf(r.Print, e.Beside(r.Print.File))
		c.Facts = append(printed(r.Print, r.Plan, w), colours(r, w)...)
		if r.Plan.Paper != nil {
			c.Facts = append(c.Facts, fact{w.Laid, onPaper(r.Plan.Paper)})
		}
		if r.Ladder != nil {
			c.Facts = append(c.Facts, fact{w.Ladder, w.Rung(r.Ladder)})
		}
		c.Views = views(e, w, pics)
	case r.Plan != nil && r.Plan.Refusal != nil:
		x := r.Plan.Refusal
		if x.WidthMM > 0 && x.HeightMM > 0 {
			c.Facts = []fact{{w.Carries, []string{w.Largest(x.Size, x.WidthMM, x.HeightMM)}}}
		}
	}
	c.Figure = newFigure(e, w, pics)
	return c
}

// printed are the facts of a print.
func printed(p *record.Print, plan *render.Plan, w *words) []fact {
	scale := max(plan.Scale.X, plan.Scale.Y) // they differ by less than a pixel over the print
	facts := []fact{
		{w.Size, []string{w.MM(p.WidthMM, p.HeightMM)}},
		{w.Pixels, []string{w.PX(p.WidthPX, p.HeightPX)}},
		{w.Resolution, resolutions(plan.Resolution, p.PPI, w)},
		{w.Scale, []string{w.Times(scale, plan.Scale.Kernel == "none")}},
		{w.Sharpening, masks(plan, w)},
	}
	pic, crop := plan.Picture, plan.Crop
	lost := max(float64(pic.Width)-crop.Width, float64(pic.Height)-crop.Height)
	if lost >= 1 { // a part of a pixel is the shape's rounding, no crop
		facts = append(facts, fact{w.Crop, []string{w.CroppedTo(crop.Width, crop.Height, pic.Width, pic.Height)}})
	}
	return facts
}

// resolutions are what the file has in pixels and, where it was measured, in detail.
func resolutions(r render.Resolution, ppi float64, w *words) []string {
	lines := []string{w.PPI(r.NativePPI, ppi)}
	if r.DetailPPI > 0 {
		lines = append(lines, w.DetailPPI(r.DetailPPI))
	}
	return lines
}

// masks are the sharpenings in the order they were applied.
func masks(plan *render.Plan, w *words) []string {
	var lines []string
	for stage, s := range []render.Sharpening{plan.PreSharpening, plan.ScaleSharpening, plan.OutputSharpening} {
		if s.Applied {
			lines = append(lines, w.Mask(stage, s))
		}
	}
	if lines == nil {
		return []string{w.NoMask}
	}
	return lines
}

func caption(c record.Camera, w *words) []string {
	camera := c.Model
	if !strings.HasPrefix(strings.ToLower(c.Model), strings.ToLower(c.Make)) {
		camera = strings.TrimSpace(c.Make + " " + c.Model)
	}
	taken, err := time.Parse("2006:01:02 15:04:05", c.Taken)
	if err != nil {
		taken = time.Time{}
	}
	return w.Taken(taken, camera, c.Lens, c.ISO)
}

func cardLinks(e record.Entry, w *words) []link {
	urls := linksOf(e)
	var links []link
	for _, l := range []struct{ text, url string }{
		{w.TIFF, urls.Print}, {w.Record, urls.Record}, {w.Original, urls.Original},
	} {
		if l.url != "" {
			links = append(links, link{Text: l.text, Label: w.LinkOf(l.text, e.Record.Source.Name), URL: l.url})
		}
	}
	return links
}

func newFigure(e record.Entry, w *words, pics pictures) figure {
	r := &e.Record
	f := figure{Size: r.Order.Size, Note: w.Unread}
	f.Width, f.Height = shape(r.Source.Width, r.Source.Height)
	if r.Source.Width > 0 {
		f.Note = w.PX(r.Source.Width, r.Source.Height)
	}
	if r.Print == nil {
		return f
	}
	t, err := pics.thumbnail(e.Beside(r.Print.Preview), thumbSide, thumbBytes)
	if err != nil {
		f.Note = w.NoPreview
		return f
	}
	f.Thumb, f.Alt = t, w.PreviewOf(r.Source.Name)
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

// In is a card with the state it is shown under, and the words before what is
// to be done.
func (c card) In(class, state, todo string) any {
	return struct {
		Card               card
		Class, State, ToDo string
	}{c, class, state, todo}
}
