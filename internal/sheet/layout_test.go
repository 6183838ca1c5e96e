package sheet

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"sizewright/internal/caution"
	"sizewright/internal/printsize"
)

// sized returns a cut sheet with the usual margins: 3 mm, and 14 at the trailing edge.
func sized(name string) Media {
	s, err := printsize.ParseSize(name)
	if err != nil {
		panic(err)
	}
	return sheetOf(s)
}

func sheetOf(s printsize.Size) Media {
	return Media{
		Name: s.Name, Kind: CutSheet, WidthMM: s.ShortMM(), LengthMM: s.LongMM(),
		Margins: UsualMargins(CutSheet),
	}
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-6 }

func same(r, s Rect) bool {
	return near(r.X, s.X) && near(r.Y, s.Y) && near(r.Width, s.Width) && near(r.Height, s.Height)
}

func note(notes []Note, code string) string {
	for _, n := range notes {
		if n.Code == code {
			return n.Text
		}
	}
	return ""
}

func TestPicturesLieWhereAPencilPutsThem(t *testing.T) {
	fine := sized("A3")
	fine.Modes = map[string]Mode{"fine": {Trailing, 20}}
	tests := []struct {
		name    string
		w, h    float64
		media   Media
		options Options
		turned  bool
		want    Rect // the picture, as fed
	}{
		// (210 - 150)/2 = 30, (297 - 200)/2 = 48.5
		{"centred on the sheet", 150, 200, sized("A4"), Options{}, false, Rect{30, 48.5, 150, 200}},
		// Printable from 3 to 297 - 14 = 283: 3 + (280 - 200)/2 = 43
		{"centred in the printable area", 150, 200, sized("A4"), Options{Placement: OnPrintable}, false, Rect{30, 43, 150, 200}},
		// 97 mm are free: 48.5 - 0.05 x 97 = 43.65
		{"raised", 150, 200, sized("A4"), Options{RaiseShare: 0.05}, false, Rect{30, 43.65, 150, 200}},
		// Upright, 280 mm do not fit 204. Sideways, 280 just fit 3..283, and 180 are in
		// the middle of 210.
		{"sideways where it must", 280, 180, sized("A4"), Options{}, true, Rect{15, 3, 180, 280}},
		// It would fit sideways too; it stays upright.
		{"upright where it may", 200, 150, sized("A4"), Options{}, false, Rect{5, 73.5, 200, 150}},
		// Down from the picture: 20 + 300 + 25 = 345; (420 - 345)/2 + 20 = 57.5
		{"weighted at the bottom", 200, 300, sized("A3"), Options{Border: Border{Kind: BottomWeighted, MM: 20}}, false, Rect{48.5, 57.5, 200, 300}},
		// Printable from 3 to 420 - 34 = 386: 3 + (383 - 300)/2 = 44.5
		{"in a mode's printable area", 200, 300, fine, Options{Mode: "fine", Placement: OnPrintable}, false, Rect{48.5, 44.5, 200, 300}},
		// 604 mm across: upright 600 fit, sideways 900 do not. 3 mm before it.
		{"on a narrow roll", 600, 900, RollOf("24 in", 610), Options{}, false, Rect{5, 3, 600, 900}},
		// Both fit 1112 mm across; sideways takes 606 mm of the roll and upright 906.
		{"on a wide roll", 600, 900, RollOf("44 in", 1118), Options{}, true, Rect{109, 3, 900, 600}},
	}
	for _, test := range tests {
		l := New(test.w, test.h, test.media, test.options)
		if !l.Fits || l.Turned != test.turned || !same(l.Picture, test.want) {
			t.Errorf("%s: fits %v, turned %v, at %+v; want %+v", test.name, l.Fits, l.Turned, l.Picture, test.want)
		}
	}
}

func TestTwoCentresAreCompared(t *testing.T) {
	// The trailing margin is 11 mm more than the leading one; the centres are half of
	// that apart, 5.5 mm.
	l := New(150, 200, sized("A4"), Options{})
	if l.Between != (Offset{0, -5.5}) || !l.OffCentre.none() {
		t.Errorf("between %+v, off centre %+v", l.Between, l.OffCentre)
	}
	want := "centred on the sheet; centred in the printable area it would lie 5.5 mm nearer the leading edge"
	if got := note(l.Decisions, "placement"); got != want {
		t.Errorf("%q", got)
	}
	l = New(150, 200, sized("A4"), Options{Placement: OnPrintable})
	if l.OffCentre != (Offset{0, -5.5}) {
		t.Errorf("off centre %+v", l.OffCentre)
	}
	want = "centred in the printable area; centred on the sheet it would lie 5.5 mm nearer the trailing edge"
	if got := note(l.Decisions, "placement"); got != want {
		t.Errorf("%q", got)
	}
}

func TestAPrintThatCannotLieInTheMiddleIsMovedByTheLeast(t *testing.T) {
	// 280 mm in the middle of 297 would end at 288.5; the printable area ends at 283.
	l := New(180, 280, sized("A4"), Options{})
	if l.Moved != (Offset{0, -5.5}) || l.OffCentre != (Offset{0, -5.5}) {
		t.Errorf("moved %+v, off centre %+v", l.Moved, l.OffCentre)
	}
	if got := warning(l.Cautions, "moved"); !strings.Contains(got, "moved 5.5 mm towards the leading edge") {
		t.Errorf("%q", got)
	}
}

func TestWhatIsTooLargeIsSaidWithWhatWouldFit(t *testing.T) {
	// A4 on A4: 210 - 204 = 6 and 297 - 280 = 17. By the height 280 the width is
	// 280 x 210/297 = 197.98, which is within 204.
	l := New(210, 297, sized("A4"), Options{})
	if l.Fits || l.TooWideMM != 6 || l.TooHighMM != 17 || l.Largest.HeightMM != 280 || math.Abs(l.Largest.WidthMM-197.9798) > 1e-4 {
		t.Fatalf("%+v %+v", l, l.Largest)
	}
	want := "the picture is 6 mm too wide and 17 mm too high for A4: the largest of its shape is 198 x 280 mm;" +
		" for a print without margins, use a larger paper or a wider roll, set a bleed, and trim"
	if got := warning(l.Cautions, "too-large"); got != want {
		t.Errorf("%q", got)
	}
	// 190 and 7 for the marks on each side just fit 204; 192 are 2 too many.
	l = New(192, 200, sized("A4"), Options{TrimMarks: true})
	if got := warning(l.Cautions, "too-large"); l.TooWideMM != 2 || !strings.HasSuffix(got, "the picture alone would fit") {
		t.Errorf("%g, %q", l.TooWideMM, got)
	}
	// White may be in the margins, but not beyond the paper.
	if l := New(150, 200, sized("A4"), Options{Border: Border{Kind: Outer, OuterWidthMM: 210, OuterHeightMM: 297}}); !l.Fits {
		t.Errorf("a border does not use the margins: %+v", l.Cautions)
	}
	if l := New(150, 200, sized("A4"), Options{Border: Border{Kind: Outer, OuterWidthMM: 212, OuterHeightMM: 297}}); l.Fits || l.TooWideMM != 2 {
		t.Errorf("212 mm are on 210: %+v", l)
	}
	if l := New(150, 200, sized("A4"), Options{Border: Border{Kind: Outer, OuterWidthMM: 140, OuterHeightMM: 200}}); l.Fits || l.TooWideMM != 10 || l.Largest.WidthMM > 140 {
		t.Errorf("150 mm are in an outer size of 140: %+v", l)
	}
	if l := New(150, 200, sized("A6"), Options{Border: Border{Kind: Outer, OuterWidthMM: 200, OuterHeightMM: 300}}); *l.Largest != (Extent{}) {
		t.Errorf("an outer size larger than the paper has room for %+v", *l.Largest)
	}
}

func TestALongRunEndsWhereThePrinterDoes(t *testing.T) {
	roll := RollOf("24 in", 610)
	roll.MaxLengthMM = 1000
	// 3 + 1200 + 3 - 1000 = 206
	l := New(500, 1200, roll, Options{})
	if l.Fits || l.TooHighMM != 206 || l.Largest.HeightMM != 994 {
		t.Errorf("too high by %g, largest %+v", l.TooHighMM, l.Largest)
	}
}

func TestAModeThatMovesThePrintWarnsBeforePaperIsSpent(t *testing.T) {
	m := sized("A4")
	m.Modes = map[string]Mode{"fine": {Trailing, 20}, "quick": {Left, 0}}
	// With 20 mm less to print on, the centre moves by 10.
	l := New(150, 200, m, Options{Mode: "fine", Placement: OnPrintable})
	want := "the mode fine adds 20 mm at the trailing edge: the print lies 10 mm nearer the leading edge than without it"
	if got := warning(l.Cautions, "mode"); l.ModeMoves != (Offset{0, -10}) || got != want {
		t.Errorf("%+v, %q", l.ModeMoves, got)
	}
	// 260 mm fit 260 and not 240; sideways it does not fit either.
	l = New(195, 270, m, Options{Mode: "fine"})
	if got := warning(l.Cautions, "mode"); l.Fits || !strings.HasSuffix(got, "without it the print would fit") {
		t.Errorf("%q", got)
	}
	for _, mode := range []string{"", "quick"} {
		if l := New(150, 200, m, Options{Mode: mode}); warning(l.Cautions, "mode") != "" {
			t.Errorf("the mode %q warns of nothing: %+v", mode, l.Cautions)
		}
	}
	if l := New(150, 200, m, Options{Mode: "fine"}); warning(l.Cautions, "mode") != "" {
		t.Errorf("what stays in the middle of its sheet is not moved: %+v", l.Cautions)
	}
}

func TestMarksAndCaptionStandBesideTheBleed(t *testing.T) {
	l := New(100, 150, sized("A4"), Options{TrimMarks: true, BleedMM: 3, Caption: "Reeds"})
	// Centred: 55, 73.5. A mark begins 2 mm outside the bleed, 5 from the edge, and is 5 long.
	if !same(l.Picture, Rect{55, 73.5, 100, 150}) || !same(l.Ink, Rect{52, 70.5, 106, 156}) || l.Outer != l.Picture {
		t.Fatalf("%+v", l)
	}
	want := []Mark{
		{TrimMark, Segment{55, 63.5, 55, 68.5}}, {TrimMark, Segment{55, 228.5, 55, 233.5}},
		{TrimMark, Segment{155, 63.5, 155, 68.5}}, {TrimMark, Segment{155, 228.5, 155, 233.5}},
		{TrimMark, Segment{45, 73.5, 50, 73.5}}, {TrimMark, Segment{160, 73.5, 165, 73.5}},
		{TrimMark, Segment{45, 223.5, 50, 223.5}}, {TrimMark, Segment{160, 223.5, 165, 223.5}},
	}
	if len(l.Marks) != len(want) {
		t.Fatalf("%d marks", len(l.Marks))
	}
	for i := range want {
		if l.Marks[i] != want[i] {
			t.Errorf("mark %d is %+v, want %+v", i, l.Marks[i], want[i])
		}
	}
	// 2 mm below the bleed, 2 mm from the marks at its sides.
	if !same(*l.Caption, Rect{57, 228.5, 96, 3}) {
		t.Errorf("caption %+v", *l.Caption)
	}
}

func TestACaptionStandsInABorderThatHasRoomForIt(t *testing.T) {
	even := func(mm float64) Layout {
		return New(100, 150, sized("A4"), Options{Border: Border{Kind: Even, MM: mm}, Caption: "Reeds"})
	}
	// 2 + 3 + 2 mm are needed.
	if l := even(7); !same(*l.Caption, Rect{55, 225.5, 100, 3}) {
		t.Errorf("caption %+v below %+v", *l.Caption, l.Picture)
	}
	if l := even(6); !near(l.Caption.Y, l.Outer.Bottom()+2) {
		t.Errorf("caption %+v below %+v", *l.Caption, l.Outer)
	}
}

func TestAGalleryWrapHasReflectedSidesAndFolds(t *testing.T) {
	l := New(500, 400, RollOf("24 in", 609.6), Options{WrapMM: 38, BleedMM: 3, TrimMarks: true, Caption: "Stakes"})
	// Down: 400 + 2 x 38 = 476 to the trim, marks from 5 to 10 mm outside, 3 mm of margin:
	// 476 + 20 + 6 = 502.
	if !l.Fits || l.Turned || !near(l.Sheet.Height, 502) || !near(l.Picture.Y, 3+10+38) {
		t.Fatalf("%+v", l)
	}
	if !same(l.Outer, l.Picture.grown(38)) || !same(l.Ink, l.Picture.grown(41)) {
		t.Errorf("outer %+v, ink %+v", l.Outer, l.Ink)
	}
	p, ink := l.Picture, l.Ink
	for i, want := range []Segment{
		{p.X, ink.Y, p.X, ink.Bottom()}, {p.Right(), ink.Y, p.Right(), ink.Bottom()},
		{ink.X, p.Y, ink.Right(), p.Y}, {ink.X, p.Bottom(), ink.Right(), p.Bottom()},
	} {
		if got := l.Folds[i]; !same(got.bounds(), want.bounds()) {
			t.Errorf("fold %d is %+v, want %+v", i, got, want)
		}
	}
	folds := 0
	for _, m := range l.Marks {
		if m.Kind == FoldMark {
			folds++
		}
	}
	if folds != 8 || len(l.Marks) != 16 {
		t.Errorf("%d fold marks of %d", folds, len(l.Marks))
	}
}

func TestAMatHidesItsOverlapAndThePictureIsRaisedInIt(t *testing.T) {
	o := Options{RaiseShare: 0.05, Border: Border{Kind: Mat, OuterWidthMM: 220, OuterHeightMM: 300, OverlapMM: 4}}
	l := New(180, 240, sized("A3"), o)
	// 60 mm are free: 30 - 0.05 x 60 = 27 above the picture. The outer size is 228 x 308
	// in the middle of 297 x 420: from 34.5, 56.
	if !same(l.Outer, Rect{34.5, 56, 228, 308}) || !same(*l.Opening, Rect{38.5, 60, 220, 300}) || !same(l.Picture, Rect{58.5, 87, 180, 240}) {
		t.Errorf("outer %+v, opening %+v, picture %+v", l.Outer, *l.Opening, l.Picture)
	}
	// 224 mm in an opening of 220: 2 mm hidden at each side.
	if l := New(224, 280, sized("A3"), o); warning(l.Cautions, "mat-covers") != "the mat covers up to 2 mm of the picture's edge" {
		t.Errorf("%+v", l.Cautions)
	}
}

func TestThePaperTurnsAroundAnUprightPicture(t *testing.T) {
	// As fed: across 15, along 3. Upright the leading edge is on the right, so the
	// picture is 297 - 3 - 280 = 14 from the left and 15 from above.
	l := New(280, 180, sized("A4"), Options{})
	u := l.Upright()
	if u.LeadingEdge != "right" || !same(u.Sheet, Rect{0, 0, 297, 210}) || !same(u.Picture, Rect{14, 15, 280, 180}) {
		t.Errorf("%+v", u)
	}
	// RFC 8011, 5.2.10, landscape: turned anticlockwise, the picture's top is at the
	// paper's left side. So its bottom is farthest to the right.
	l = New(280, 150, sized("A4"), Options{Caption: "Reeds"})
	if !(l.Caption.X >= l.Picture.Right()) {
		t.Errorf("the caption %+v is not on the right of %+v", *l.Caption, l.Picture)
	}
	if u := l.Upright(); !(u.Caption.Y >= u.Picture.Bottom()) {
		t.Errorf("the caption %+v is not below %+v", *u.Caption, u.Picture)
	}
}

func TestATrimWithoutBleedIsCautioned(t *testing.T) {
	for _, test := range []struct {
		options Options
		want    bool
	}{
		{Options{TrimMarks: true}, true},
		{Options{TrimMarks: true, BleedMM: 3}, false},
		{Options{TrimMarks: true, Border: Border{Kind: Even, MM: 10}}, false},
		{Options{}, false},
	} {
		l := New(100, 150, sized("A4"), test.options)
		if got := warning(l.Cautions, "no-bleed") != ""; got != test.want {
			t.Errorf("%+v: %v", test.options, got)
		}
	}
}

func TestABleedTakesFromThePictureAndLosesNone(t *testing.T) {
	for _, test := range []struct {
		way  BleedWay
		want [5]int
	}{{Reflect, [5]int{0, 1, 2, 3, 4}}, {Stretch, [5]int{0, 0, 0, 0, 1}}, {Replicate, [5]int{}}} {
		for out, want := range test.want {
			if got := test.way.Inside(out); got != want {
				t.Errorf("%s: %d outside is %d inside, want %d", test.way, out, got, want)
			}
		}
	}
}

func TestACaptionGoesBelowTheMarksOfANarrowPrint(t *testing.T) {
	// 22 mm between the marks leave 18 for a line, and at least 20 are needed: so 2 mm
	// below the end of the marks, 2 + 5 mm from the edge.
	l := New(22, 60, sized("A4"), Options{TrimMarks: true, Caption: "Reeds"})
	if !near(l.Caption.Y, l.Outer.Bottom()+9) || !near(l.Caption.Width, 22) {
		t.Errorf("caption %+v below %+v", *l.Caption, l.Outer)
	}
}

func TestARollIsCutEvenOnlyForWhatIsNotTrimmed(t *testing.T) {
	roll := RollOf("24 in", 610)
	roll.Margins.TrailingMM = 20
	// Centred, it has 20 mm on both sides; trimmed, 7 mm for its marks and the margins
	// are enough.
	if l := New(500, 700, roll, Options{}); !near(l.Sheet.Height, 740) || !l.OffCentre.none() {
		t.Errorf("%g mm, off centre %+v", l.Sheet.Height, l.OffCentre)
	}
	if l := New(500, 700, roll, Options{TrimMarks: true}); !near(l.Sheet.Height, 3+7+700+7+20) {
		t.Errorf("%g mm", l.Sheet.Height)
	}
}

func TestASidewaysPrintIsMovedAlongTheFeed(t *testing.T) {
	l := New(280, 180, sized("A4"), Options{})
	if l.Moved != (Offset{0, -5.5}) || l.OffCentre != (Offset{0, -5.5}) || l.Between != (Offset{0, 0}) {
		t.Errorf("moved %+v, off centre %+v, between %+v", l.Moved, l.OffCentre, l.Between)
	}
}

func TestAModeThatTurnsThePrintIsCautioned(t *testing.T) {
	// 180 fit 204 mm across and not 164; sideways 150 fit, and 180 fit 280 along.
	m := sized("A4")
	m.Modes = map[string]Mode{"fine": {Left, 40}}
	l := New(180, 150, m, Options{Mode: "fine"})
	if got := warning(l.Cautions, "mode"); !l.Fits || !l.Turned || !strings.HasSuffix(got, "without it the print would lie the other way round") {
		t.Errorf("%q", got)
	}
}

func warning(all []caution.Caution, code string) string {
	for _, c := range all {
		if c.Code == code {
			return c.Text
		}
	}
	return ""
}

// Records of earlier versions have other names for the bleeds.
func TestABleedIsReadByItsFormerName(t *testing.T) {
	for text, want := range map[string]BleedWay{"mirror": Reflect, "extend": Replicate, "stretch": Stretch, "reflect": Reflect} {
		var o Options
		if err := json.Unmarshal([]byte(`{"bleed": "`+text+`"}`), &o); err != nil || o.Bleed != want {
			t.Errorf("%s is read as %q (%v), want %q", text, o.Bleed, err, want)
		}
	}
}

// A wrap is cut outside its sides, which are folded away, so a cut there leaves no white.
func TestAWrapNeedsNoBleed(t *testing.T) {
	for _, c := range []struct {
		options Options
		warned  bool
	}{
		{Options{TrimMarks: true}, true},
		{Options{TrimMarks: true, BleedMM: 3}, false},
		{Options{TrimMarks: true, WrapMM: 38}, false},
		{Options{TrimMarks: true, Border: Border{Kind: Even, MM: 20}}, false},
	} {
		l := New(300, 200, RollOf("roll", 610), c.options)
		warned := false
		for _, x := range l.Cautions {
			warned = warned || x.Code == "no-bleed"
		}
		if warned != c.warned {
			t.Errorf("%+v: %+v", c.options, l.Cautions)
		}
	}
}

// The offset from the centre names the paper's own sides and is never negative.
func TestWhereThePictureLiesIsToldByThePapersSides(t *testing.T) {
	for _, c := range []struct {
		layout Layout
		want   string
	}{
		{New(150, 200, sized("A4"), Options{}), "the picture's centre is the sheet's"},
		{New(150, 200, sized("A4"), Options{Placement: OnPrintable}), "the picture's centre is 5.5 mm nearer the leading edge than the sheet's"},
		{New(280, 180, sized("A4"), Options{}).Upright(), "the picture's centre is 5.5 mm nearer the leading edge than the sheet's"},
		{New(150, 200, sized("A4"), Options{}).Cropped(), "the piece without paper, to be packed"},
	} {
		if got := c.layout.Where(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
