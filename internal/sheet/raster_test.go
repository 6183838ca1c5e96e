package sheet

import "testing"

func TestPixelsOfALayoutByHand(t *testing.T) {
	// At 360 ppi a millimetre is 14.173 px. The picture is at 55, 73.5 mm: 779.5 and
	// 1041.7 px. A4 is 2976.4 x 4209.4 px. A bleed of 3 mm is 42.5 px, a mark's gap and length
	// of 5 mm are 70.9, and 10 mm are 141.7. A line of 0.1 mm is 1.4 px.
	l := New(100, 150, sized("A4"), Options{TrimMarks: true, BleedMM: 3})
	r := l.Pixels(360, 1417, 2126)
	if r.Width != 2976 || r.Height != 4209 {
		t.Errorf("the sheet has %d x %d px", r.Width, r.Height)
	}
	for _, test := range []struct {
		name      string
		got, want PixelRect
	}{
		{"picture", r.Picture, PixelRect{780, 1042, 1417, 2126}},
		{"ink", r.Ink, PixelRect{780 - 43, 1042 - 43, 1417 + 86, 2126 + 86}},
		{"first mark", r.Marks[0], PixelRect{779, 1042 - 142, 1, 142 - 71}}, // to the left of the edge
		{"last mark", r.Marks[7], PixelRect{780 + 1417 + 71, 1042 + 2126, 142 - 71, 1}},
	} {
		if test.got != test.want {
			t.Errorf("%s: %+v, want %+v", test.name, test.got, test.want)
		}
	}
	if len(r.Strips) != 8 || r.Strips[0] != (PixelRect{737, 999, 43, 43}) {
		t.Errorf("strips %+v", r.Strips)
	}
}

func TestAnEvenBorderIsEvenToThePixel(t *testing.T) {
	for _, mm := range []float64{1, 7.3, 12.7, 20.05} {
		l := New(151.2, 98.6, sized("A3"), Options{Border: Border{Kind: Even, MM: mm}})
		for _, ppi := range []float64{254, 300, 360, 720} {
			r := l.Pixels(ppi, int(151.2*ppi/25.4+0.5), int(98.6*ppi/25.4+0.5))
			left, right := r.Picture.X-r.Outer.X, r.Outer.Right()-r.Picture.Right()
			above, below := r.Picture.Y-r.Outer.Y, r.Outer.Bottom()-r.Picture.Bottom()
			if left != right || above != below || left != above {
				t.Errorf("%g mm at %g ppi: %d, %d, %d, %d px", mm, ppi, left, right, above, below)
			}
		}
	}
}

func TestALayoutThatDoesNotFitEndsAtItsSheet(t *testing.T) {
	l := New(300, 400, sized("A4"), Options{TrimMarks: true, BleedMM: 3, Caption: "Reeds"})
	r := l.Pixels(300, 3543, 4724)
	sheet := PixelRect{0, 0, r.Width, r.Height}
	for _, p := range append(append([]PixelRect{r.Ink, r.Outer, *r.Caption}, r.Marks...), r.Strips...) {
		if p.X < 0 || p.Y < 0 || p.Right() > sheet.Right() || p.Bottom() > sheet.Bottom() || p.Width < 0 || p.Height < 0 {
			t.Errorf("%+v is beyond %+v", p, sheet)
		}
	}
	if r := New(-1, 1, sized("A4"), Options{}).Pixels(300, 1, 1); r.Width != 0 || r.Height != 0 {
		t.Errorf("a layout with problems has pixels: %+v", r)
	}
}
