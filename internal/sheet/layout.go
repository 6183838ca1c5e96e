package sheet

import "sizewright/internal/caution"

// Extent is a width and a height in millimetres, of the upright picture.
type Extent struct {
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
}

// Offset is a way in millimetres as the paper is fed: X to the right, Y to the
// trailing edge.
type Offset struct {
	XMM float64 `json:"x_mm"`
	YMM float64 `json:"y_mm"`
}

// A Note is something to know of a layout: a code for programs, a sentence for
// people.
type Note struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

// Loose is the leading edge of a piece without its paper; see [Layout.Cropped].
const Loose = "none"

// Layout is a print on its paper. Every rectangle is in one frame, with the corner
// of Sheet at its origin: as fed, or as one looks at the upright picture. See the
// package comment.
type Layout struct {
	Media       string    `json:"media"`
	Kind        Kind      `json:"kind"`
	Thickness   string    `json:"thickness,omitempty"`
	Mode        string    `json:"mode,omitempty"`
	Margins     Margins   `json:"margins"`      // with what the mode adds
	Turned      bool      `json:"turned"`       // the picture lies a quarter turn anticlockwise on its paper
	LeadingEdge string    `json:"leading_edge"` // "top", "right" in the upright frame of a turned one, or [Loose]
	Options     Options   `json:"options"`      // with what is usual where nothing was said
	Picture     Rect      `json:"picture"`
	Ink         Rect      `json:"ink"`
	Outer       Rect      `json:"outer"`
	Sheet       Rect      `json:"sheet"`
	Printable   Rect      `json:"printable"`
	Opening     *Rect     `json:"opening,omitempty"` // of the mat
	Caption     *Rect     `json:"caption,omitempty"`
	Marks       []Mark    `json:"marks,omitempty"`
	Folds       []Segment `json:"folds,omitempty"`

	Fits      bool    `json:"fits"`
	TooWideMM float64 `json:"too_wide_mm,omitempty"` // of the upright picture
	TooHighMM float64 `json:"too_high_mm,omitempty"`
	Largest   *Extent `json:"largest,omitempty"` // picture of the same shape that fits, where this one does not; 0 by 0: none

	OffCentre Offset `json:"off_centre"` // the picture's centre, from the sheet's
	Between   Offset `json:"between"`    // from where it would lie on the sheet's centre to where it would in the printable area's
	Moved     Offset `json:"moved"`      // from where it was asked for
	ModeMoves Offset `json:"mode_moves"` // what the mode does to where it lies

	Decisions []Note            `json:"decisions"`
	Cautions  []caution.Caution `json:"cautions"`
	Problems  []Problem         `json:"problems,omitempty"` // with any, nothing is placed
}

// New lays a picture of so many millimetres, upright, on a media. The picture is
// neither cropped nor scaled. A layout that does not fit is placed all the same, in the
// middle, so that it can be looked at; one that has problems is not. The same
// arguments give the same layout.
func New(pictureWidthMM, pictureHeightMM float64, m Media, o Options) Layout {
	problems := problems(append(m.Problems(), o.Problems(m)...))
	o = o.settled()
	problems.picture(pictureWidthMM, pictureHeightMM, o)
	l := Layout{
		Media: m.Name, Kind: m.Kind, Thickness: m.Thickness, Mode: o.Mode, LeadingEdge: "top", Options: o,
		Margins: m.Margins.with(m.Modes[o.Mode]), Decisions: []Note{}, Cautions: []caution.Caution{}, Problems: problems,
	}
	if len(problems) > 0 {
		l.Options, l.Margins = Options{}.settled(), Margins{} // which may hold what is no number
		return l
	}
	c := choose(pictureWidthMM, pictureHeightMM, m, o)
	l.place(c.taken)
	l.Fits = c.taken.fits()
	if !l.Fits {
		l.TooWideMM, l.TooHighMM, l.Largest = tidy(c.taken.across.excess), tidy(c.taken.down.excess), c.largest
	}
	l.compare(pictureWidthMM, pictureHeightMM, m, c.taken)
	l.decide(c, m)
	l.cautions(pictureWidthMM, pictureHeightMM, m)
	return l
}

// place writes a lying as fed.
func (l *Layout) place(y lying) {
	x0, y0 := y.across.at, y.down.at
	p := y.piece
	l.Turned = y.turned
	f := frame{turned: y.turned, width: y.across.length}
	l.Sheet = f.fed(Rect{Width: y.across.length, Height: y.down.length})
	l.Printable = Rect{
		l.Margins.LeftMM, l.Margins.LeadingMM,
		tidy(l.Sheet.Width - l.Margins.LeftMM - l.Margins.RightMM), tidy(l.Sheet.Height - l.Margins.LeadingMM - l.Margins.TrailingMM),
	}
	l.Picture, l.Ink, l.Outer = f.fed(p.picture.moved(x0, y0)), f.fed(p.ink.moved(x0, y0)), f.fed(p.outer.moved(x0, y0))
	l.Opening, l.Caption = f.maybe(p.opening, x0, y0), f.maybe(p.caption, x0, y0)
	for _, m := range p.marks {
		l.Marks = append(l.Marks, Mark{m.Kind, f.segment(m.Segment.moved(x0, y0))})
	}
	for _, s := range p.folds {
		l.Folds = append(l.Folds, f.segment(s.moved(x0, y0)))
	}
	l.Moved = f.way(y.across.moved, y.down.moved)
	px, py := l.Picture.Centre()
	sx, sy := l.Sheet.Centre()
	l.OffCentre = Offset{tidy(px - sx), tidy(py - sy)}
}

// compare lays the picture the other ways there are: on the other centre, and
// without the mode.
func (l *Layout) compare(width, height float64, m Media, taken lying) {
	lay := func(o Options) Layout {
		var other Layout
		other.Margins = m.Margins.with(m.Modes[o.Mode])
		other.place(lie(width, height, m, o, taken.turned))
		return other
	}
	onSheet, onPrintable, plain := l.Options, l.Options, l.Options
	onSheet.Placement, onPrintable.Placement, plain.Mode = OnSheet, OnPrintable, ""
	l.Between = from(lay(onSheet).Picture, lay(onPrintable).Picture)
	l.ModeMoves = from(lay(plain).Picture, l.Picture)
}

func from(a, b Rect) Offset { return Offset{tidy(b.X - a.X), tidy(b.Y - a.Y)} }

// none tells whether a way is no way.
func (o Offset) none() bool { return o == Offset{} }
