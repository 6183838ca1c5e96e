package sheet

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"sizewright/internal/printsize"
)

// chance draws media, options and pictures at random, some of them careless.
type chance struct{ *rand.Rand }

func (c chance) between(lo, hi float64) float64 { return lo + (hi-lo)*c.Float64() }

func (c chance) odds(share float64) bool { return c.Float64() < share }

func (c chance) media() Media {
	m := Media{
		Name: "any", Kind: CutSheet, WidthMM: c.between(80, 400), LengthMM: c.between(80, 500),
		Margins: Margins{c.between(0, 20), c.between(0, 20), c.between(0, 20), c.between(0, 20)},
		Modes:   map[string]Mode{"fine": {[]Side{Left, Right, Leading, Trailing}[c.IntN(4)], c.between(0, 15)}},
	}
	if c.odds(0.5) {
		m.Kind, m.LengthMM = Roll, 0
		if c.odds(0.5) {
			m.MaxLengthMM = c.between(100, 500)
		}
	}
	return m
}

func (c chance) options() Options {
	o := Options{
		Placement: []Placement{"", OnSheet, OnPrintable}[c.IntN(3)],
		TrimMarks: c.odds(0.5), Bleed: []BleedWay{"", Reflect, Stretch, Replicate}[c.IntN(4)],
	}
	if c.odds(0.5) {
		o.Mode = "fine"
	}
	if c.odds(0.5) {
		o.RaiseShare = c.between(0, 0.1)
	}
	if c.odds(0.5) {
		o.MarkLengthMM, o.MarkGapMM = c.between(0, 8), c.between(0, 8)
	}
	if c.odds(0.5) {
		o.Caption, o.CaptionHeightMM = "Reeds at dusk, 3/20", c.between(1, 6)
	}
	switch c.IntN(7) {
	case 0:
		o.Border = Border{Kind: Even, MM: c.between(1, 40)}
	case 1:
		o.Border = Border{Kind: BottomWeighted, MM: c.between(1, 30), BottomMM: c.between(0, 40)}
	case 2:
		o.Border = Border{Kind: Outer, OuterWidthMM: c.between(60, 400), OuterHeightMM: c.between(60, 400)}
	case 3:
		o.Border = Border{Kind: Mat, OuterWidthMM: c.between(60, 400), OuterHeightMM: c.between(60, 400), OverlapMM: c.between(0, 8)}
	case 4:
		o.BleedMM = c.between(0, 6)
	case 5:
		o.WrapMM, o.BleedMM = c.between(1, 25), c.between(0, 4)
	}
	return o
}

// inside reports whether r is within s, to twice the rounding error.
func inside(r, s Rect) bool {
	const e = 2e-6
	return r.X >= s.X-e && r.Y >= s.Y-e && r.Right() <= s.Right()+e && r.Bottom() <= s.Bottom()+e
}

func apart(r, s Rect) bool {
	const e = 2e-6
	return r.Right() <= s.X+e || s.Right() <= r.X+e || r.Bottom() <= s.Y+e || s.Bottom() <= r.Y+e
}

// each lays out many prints without problems and calls f for each.
func each(t *testing.T, n int, claim func(c chance, w, h float64, m Media, o Options, l Layout)) {
	t.Helper()
	c := chance{rand.New(rand.NewPCG(6, 6))}
	laid, fitted := 0, 0
	for range n {
		m, o := c.media(), c.options()
		w, h := c.between(50, 300), c.between(50, 300)
		l := New(w, h, m, o)
		if len(l.Problems) > 0 {
			t.Fatalf("%+v", l.Problems)
		}
		laid++
		if l.Fits {
			fitted++
		}
		claim(c, w, h, m, o, l)
		if t.Failed() {
			t.Fatalf("media %+v, options %+v, picture %g x %g: %+v", m, o, w, h, l)
		}
	}
	if fitted < laid/5 || fitted > laid*4/5 {
		t.Errorf("%d of %d fit: too one-sided to tell", fitted, laid)
	}
}

func TestWhatFitsIsInsideAndApart(t *testing.T) {
	each(t, 4000, func(_ chance, w, h float64, m Media, _ Options, l Layout) {
		if _, err := json.Marshal(l); err != nil {
			t.Error(err)
		}
		for _, l := range []Layout{l, l.Upright()} {
			if !inside(l.Picture, l.Ink) || !inside(l.Printable, l.Sheet) {
				t.Error("rectangles are not nested")
			}
			if !l.Fits {
				continue
			}
			if !inside(l.Ink, l.Printable) || !inside(l.Outer, l.Sheet) || !inside(l.Picture, l.Outer) {
				t.Error("not inside")
			}
			if m.Kind == Roll && m.MaxLengthMM > 0 && max(l.Sheet.Height, l.Sheet.Width) > max(m.MaxLengthMM, m.WidthMM)+1e-5 {
				t.Error("longer than the longest run")
			}
			boxes := []Rect{}
			for _, k := range l.Marks {
				b := k.bounds()
				if !inside(b, l.Printable) || !apart(b, l.Ink) || !apart(b, l.Outer) {
					t.Errorf("mark %+v", k)
				}
				boxes = append(boxes, b)
			}
			if c := l.Caption; c != nil {
				if !inside(*c, l.Printable) || !apart(*c, l.Ink) || c.Width < 0 {
					t.Errorf("caption %+v", *c)
				}
				for _, b := range boxes {
					if !apart(*c, b) {
						t.Errorf("caption %+v on mark %+v", *c, b)
					}
				}
			}
		}
		if u := l.Upright(); !near(u.Picture.Width, w) || !near(u.Picture.Height, h) {
			t.Errorf("the upright picture is %+v", u.Picture)
		}
	})
}

func TestTheLargestFitsAndALittleMoreDoesNot(t *testing.T) {
	each(t, 1500, func(_ chance, w, h float64, m Media, o Options, l Layout) {
		if l.Fits || *l.Largest == (Extent{}) {
			return
		}
		if math.Abs(l.Largest.WidthMM*h-l.Largest.HeightMM*w) > 1e-3 {
			t.Errorf("%+v is of another shape", *l.Largest)
		}
		if !New(l.Largest.WidthMM, l.Largest.HeightMM, m, o).Fits {
			t.Errorf("%+v does not fit", *l.Largest)
		}
		more := 1 + 0.11/max(l.Largest.WidthMM, l.Largest.HeightMM)
		if New(l.Largest.WidthMM*more, l.Largest.HeightMM*more, m, o).Fits {
			t.Errorf("a tenth more than %+v fits too", *l.Largest)
		}
	})
}

func TestASheetIsTurnedOnlyWhereItMustAndARollWhereItSaves(t *testing.T) {
	each(t, 1500, func(_ chance, w, h float64, m Media, o Options, l Layout) {
		upright, turned := lie(w, h, m, o.settled(), false), lie(w, h, m, o.settled(), true)
		switch {
		case !l.Fits:
			if upright.fits() || turned.fits() {
				t.Error("it would fit one way")
			}
		case m.Kind == CutSheet && l.Turned == upright.fits():
			t.Error("turned without need")
		case m.Kind == Roll && upright.fits() && turned.fits() && l.Sheet.Height > min(upright.along(), turned.along())+1e-4:
			t.Error("the other way takes less of the roll")
		}
	})
}

func TestPixelsKeepThePlan(t *testing.T) {
	each(t, 1500, func(c chance, w, h float64, m Media, o Options, _ Layout) {
		ppi := c.between(254, 1200)
		pw, ph := printsize.Pixels(w, ppi), printsize.Pixels(h, ppi)
		w, h = math.Round(float64(pw)*25.4/ppi*1000)/1000, math.Round(float64(ph)*25.4/ppi*1000)/1000
		as := New(w, h, m, o)
		if !as.Fits {
			return
		}
		for _, l := range []Layout{as, as.Upright()} {
			r := l.Pixels(ppi, pw, ph)
			wantW, wantH := pw, ph
			if l.Turned && l.LeadingEdge == "top" {
				wantW, wantH = ph, pw
			}
			if r.Picture.Width != wantW || r.Picture.Height != wantH {
				t.Errorf("the picture has %+v", r.Picture)
			}
			close := func(px PixelRect, mm Rect) {
				for _, d := range [][2]float64{
					{float64(px.Width), mm.Width}, {float64(px.Height), mm.Height}, {float64(px.X), mm.X}, {float64(px.Y), mm.Y},
				} {
					if math.Abs(d[0]*25.4/ppi-d[1]) > 0.1+0.002 { // the picture's own size is rounded to 0.001 mm
						t.Errorf("%+v is %+v at %g ppi", px, mm, ppi)
					}
				}
			}
			close(PixelRect{0, 0, r.Width, r.Height}, l.Sheet)
			close(r.Printable, l.Printable)
			close(r.Outer, l.Outer)
			close(r.Ink, l.Ink)
			close(r.Picture, l.Picture)
			if l.Caption != nil {
				close(*r.Caption, *l.Caption)
				for _, other := range append([]PixelRect{r.Ink}, r.Marks...) {
					if share(*r.Caption, other) {
						t.Errorf("caption %+v on %+v", *r.Caption, other)
					}
				}
			}
			marksOnEdges(t, l, r)
		}
	})
}

// share reports whether two rectangles have a pixel in common.
func share(a, b PixelRect) bool {
	return a.X < b.Right() && b.X < a.Right() && a.Y < b.Bottom() && b.Y < a.Bottom()
}

// marksOnEdges checks that a mark's inner side is the edge it marks, to the pixel.
func marksOnEdges(t *testing.T, l Layout, r Raster) {
	thick := max(1, int(math.Round(0.1*r.PPI/25.4)))
	for i, m := range l.Marks {
		px, edges := r.Marks[i], r.Outer
		if m.Kind == FoldMark {
			edges = r.Picture
		}
		width, on := px.Width, px.Right() == edges.X || px.X == edges.Right()
		if m.Y1 == m.Y2 {
			width, on = px.Height, px.Bottom() == edges.Y || px.Y == edges.Bottom()
		}
		if !on || width != thick {
			t.Errorf("%s mark %+v is not on the edges of %+v, %d px wide", m.Kind, px, edges, thick)
		}
		if px.X < 0 || px.Y < 0 || px.Right() > r.Width || px.Bottom() > r.Height {
			t.Errorf("mark %+v is off the sheet", px)
		}
	}
}

func TestPixelRectanglesTile(t *testing.T) {
	each(t, 250, func(c chance, w, h float64, m Media, o Options, _ Layout) {
		ppi := c.between(20, 60)
		pw, ph := printsize.Pixels(w, ppi), printsize.Pixels(h, ppi)
		l := New(float64(pw)*25.4/ppi, float64(ph)*25.4/ppi, m, o)
		r := l.Pixels(ppi, pw, ph)
		if !l.Fits {
			return
		}
		painted := make([]byte, r.Width*r.Height)
		for _, p := range slices.Concat([]PixelRect{r.Picture}, r.Strips) {
			for y := p.Y; y < p.Bottom(); y++ {
				for x := p.X; x < p.Right(); x++ {
					painted[y*r.Width+x]++
				}
			}
		}
		for i, n := range painted {
			x, y := i%r.Width, i/r.Width
			ink := x >= r.Ink.X && x < r.Ink.Right() && y >= r.Ink.Y && y < r.Ink.Bottom()
			if ink != (n == 1) || n > 1 {
				t.Fatalf("pixel %d, %d is painted %d times", x, y, n)
			}
		}
	})
}

// The paper that is costed is that of the layout shown: a whole sheet, or of a roll its
// width by the length that the notes say is cut, in either frame.
func TestPaperIsCostedAsItLies(t *testing.T) {
	r := Rates{PerMetre: 10}
	turned := 0
	each(t, 1500, func(_ chance, _, _ float64, m Media, _ Options, l Layout) {
		if !l.Fits {
			return
		}
		length := l.Picture.Height
		for _, shown := range []Layout{l, l.Upright()} {
			u, e := shown.Use(), r.Of(shown.Use())
			if !near(u.WidthMM, m.WidthMM) || !near(u.LengthMM, l.Sheet.Height) || u.LengthMM < length {
				t.Errorf("it takes %+v of a paper %g mm wide, of which %g are cut", u, m.WidthMM, l.Sheet.Height)
			}
			if m.Kind == Roll && !(near(e.RollM, l.Sheet.Height/1000) && near(e.Cost[0].Amount, l.Sheet.Height/100)) {
				t.Errorf("%+v for %g mm", e, l.Sheet.Height)
			}
			if cut := mm(u.LengthMM) + " are cut from the roll"; m.Kind == Roll && note(shown.Decisions, "length") != cut {
				t.Errorf("%q, want %q", note(shown.Decisions, "length"), cut)
			}
		}
		if l.Turned {
			turned++
		}
	})
	if turned < 50 {
		t.Errorf("only %d lie sideways: too few to tell", turned)
	}
}
