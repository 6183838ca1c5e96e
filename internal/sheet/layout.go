package sheet

import "sizewright/internal/caution"

// Extent is a width and a height in millimetres, of the upright picture.
type Extent struct {
	WidthMM  float64 `json:"width_mm"`
	HeightMM float64 `json:"height_mm"`
}

// Offset is a displacement in millimetres on the paper as fed: X to the right, Y towards
// the trailing edge.
type Offset struct {
	XMM float64 `json:"x_mm"`
	YMM float64 `json:"y_mm"`
}

// A Note is information about a layout: a code for programs and a sentence for people.
type Note struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

// Loose is the leading edge of a piece without its paper; see [Layout.Cropped].
const Loose = "none"

// Layout is a print on its paper. All rectangles are in one frame, whose origin is the
// corner of Sheet: as fed, or with the picture upright. See the package comment.
type Layout struct {
	Media       string    `json:"media"`
	Kind        Kind      `json:"kind"`
	Thickness   string    `json:"thickness,omitempty"`
	Mode        string    `json:"mode,omitempty"`
	Margins     Margins   `json:"margins"`      // including those of the mode
	Turned      bool      `json:"turned"`       // the picture is turned a quarter turn anticlockwise
	LeadingEdge string    `json:"leading_edge"` // "top", "right" for a turned picture in the upright frame, or [Loose]
	Options     Options   `json:"options"`      // with defaults filled in
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
	Largest   *Extent `json:"largest,omitempty"` // if this picture does not fit, the largest of its shape that does; 0 by 0: none

	OffCentre Offset `json:"off_centre"` // of the picture's centre from the sheet's
	Between   Offset `json:"between"`    // from the position centred on the sheet to the one centred in the printable area
	Moved     Offset `json:"moved"`      // from the requested position
	ModeMoves Offset `json:"mode_moves"` // how far the mode moves the picture

	Decisions []Note            `json:"decisions"`
	Cautions  []caution.Caution `json:"cautions"`
	Problems  []Problem         `json:"problems,omitempty"` // if there are any, nothing is placed
}

// New lays out a picture of this size, upright, on a media. It neither crops nor scales
// the picture. A layout that does not fit is centred all the same, so that it can be
// shown; one with problems is not placed. The same arguments give the same layout.
func New(pictureWidthMM, pictureHeightMM float64, m Media, o Options) Layout {
	problems := problems(append(m.Problems(), o.Problems(m)...))
	o = o.settled()
	problems.picture(pictureWidthMM, pictureHeightMM, o)
	l := Layout{
		Media: m.Name, Kind: m.Kind, Thickness: m.Thickness, Mode: o.Mode, LeadingEdge: "top", Options: o,
		Margins: m.Margins.with(m.Modes[o.Mode]), Decisions: []Note{}, Cautions: []caution.Caution{}, Problems: problems,
	}
	if len(problems) > 0 {
		l.Options, l.Margins = Options{}.settled(), Margins{} // they may hold NaN or infinity
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

// place records a placement in the frame as fed. A turned picture has its top at the
// paper's left: down in the picture is across the paper, and left in it is trailing.
func (l *Layout) place(y lying) {
	p, width := y.piece, y.across.length
	l.Turned = y.turned
	l.Sheet = Rect{-y.across.at, -y.down.at, width, y.down.length}
	l.Picture, l.Ink, l.Outer, l.Opening, l.Caption, l.Marks, l.Folds = p.picture, p.ink, p.outer, p.opening, p.caption, p.marks, p.folds
	l.Moved = Offset{tidy(y.across.moved), tidy(y.down.moved)}
	if y.turned {
		l.Moved = Offset{tidy(y.down.moved), tidy(-y.across.moved)}
	}
	*l = l.through(func(px, py float64) (float64, float64) {
		px, py = px+y.across.at, py+y.down.at
		if y.turned {
			return py, width - px
		}
		return px, py
	})
	l.Printable = Rect{
		l.Margins.LeftMM, l.Margins.LeadingMM,
		tidy(l.Sheet.Width - l.Margins.LeftMM - l.Margins.RightMM), tidy(l.Sheet.Height - l.Margins.LeadingMM - l.Margins.TrailingMM),
	}
	l.centre()
}

func (l *Layout) centre() {
	px, py := l.Picture.Centre()
	sx, sy := l.Sheet.Centre()
	l.OffCentre = Offset{tidy(px - sx), tidy(py - sy)}
}

// compare also places the picture on the other centre, and without the mode.
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

// none reports whether the offset is zero.
func (o Offset) none() bool { return o == Offset{} }
