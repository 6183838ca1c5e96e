package sheet

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"
)

// drawn is what an XML reader finds in a diagram: the rectangles by class, and all text.
func drawn(t *testing.T, svg []byte) (rects map[string]Rect, text string) {
	t.Helper()
	rects = map[string]Rect{}
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return rects, text
		}
		if err != nil {
			t.Fatalf("%v in %s", err, svg)
		}
		switch e := token.(type) {
		case xml.CharData:
			text += string(e) + "\n"
		case xml.StartElement:
			a := map[string]string{}
			for _, at := range e.Attr {
				a[at.Name.Local] = at.Value
				if strings.HasPrefix(at.Name.Local, "on") || at.Name.Local == "href" {
					t.Errorf("attribute %s", at.Name.Local)
				}
			}
			number := func(name string) float64 { v, _ := strconv.ParseFloat(a[name], 64); return v }
			switch e.Name.Local {
			case "rect":
				rects[a["class"]] = Rect{number("x"), number("y"), number("width"), number("height")}
			case "svg", "style", "title", "desc", "line", "path", "circle", "text":
			default:
				t.Errorf("element %s", e.Name.Local)
			}
		}
	}
}

func TestTheDiagramIsToScale(t *testing.T) {
	for _, l := range []Layout{
		New(200, 300, sized("A3"), Options{Border: Border{Kind: BottomWeighted, MM: 20}, BleedMM: 0, Caption: "Reeds"}),
		New(360, 240, sized("A3"), Options{TrimMarks: true, BleedMM: 3}),
		New(360, 240, sized("A3"), Options{TrimMarks: true, BleedMM: 3}).Upright(),
		New(500, 400, RollOf("24 in", 610), Options{WrapMM: 38, TrimMarks: true}),
	} {
		rects, text := drawn(t, l.SVG())
		scale := rects["paper"].Width / l.Sheet.Width
		for class, r := range map[string]Rect{"paper": l.Sheet, "printable": l.Printable, "picture": l.Picture, "ink": l.Ink, "outer": l.Outer} {
			got, is := rects[class]
			if !is && (class == "ink" || class == "outer") {
				continue
			}
			for _, d := range [][2]float64{
				{got.X - rects["paper"].X, r.X}, {got.Y - rects["paper"].Y, r.Y}, {got.Width, r.Width}, {got.Height, r.Height},
			} {
				if math.Abs(d[0]-d[1]*scale) > 0.02 {
					t.Errorf("%s: %+v is drawn as %+v at %g", class, r, got, scale)
				}
			}
		}
		for _, mm := range []float64{l.Sheet.Width, l.Sheet.Height, l.Picture.Width, l.Picture.Height, l.Picture.X, l.Picture.Y} {
			if !strings.Contains(text, "\n"+tenths(mm)+"\n") {
				t.Errorf("no dimension %s in %q", tenths(mm), text)
			}
		}
	}
}

func TestAHostileCaptionIsText(t *testing.T) {
	const caption = "</text><script>alert(1)</script> & \x00\x1b\xff \"3/20\""
	m := sized("A3")
	m.Name = `"><image href="x"/>`
	_, text := drawn(t, New(200, 300, m, Options{Caption: caption}).SVG())
	if !strings.Contains(text, "</text><script>alert(1)</script> & ") || !strings.Contains(text, `"><image href="x"/>`) {
		t.Errorf("%q", text)
	}
	_, text = drawn(t, New(200, 300, m, Options{Caption: strings.Repeat("reeds ", 1000)}).SVG())
	for line := range strings.SplitSeq(text, "\n") {
		if strings.HasPrefix(line, "grey box") && !strings.Contains(line, ";") && len([]rune(line)) > 80 {
			t.Errorf("%d characters in a line", len([]rune(line)))
		}
	}
}

func TestTheDiagramSaysWhatIsWrong(t *testing.T) {
	_, text := drawn(t, New(320, 500, sized("A3"), Options{}).SVG())
	if !strings.Contains(text, "it does not fit: 29 mm too wide and 97 mm too high") {
		t.Errorf("%q", text)
	}
	_, text = drawn(t, New(-1, 500, sized("A3"), Options{Mode: "<fine>"}).SVG())
	if !strings.Contains(text, `mode: A3 has no mode "<fine>"`) || !strings.Contains(text, "picture: -1 is not a possible length") {
		t.Errorf("%q", text)
	}
}

func TestTheDiagramTellsHowFarCentresAreApart(t *testing.T) {
	_, text := drawn(t, New(150, 200, sized("A4"), Options{Placement: OnPrintable}).SVG())
	if !strings.Contains(text, "from + (the sheet's centre) to o (the picture's): 5.5 mm leading") {
		t.Errorf("%q", text)
	}
}

func TestTheDiagramOfEveryLayoutCanBeRead(t *testing.T) {
	each(t, 300, func(_ chance, _, _ float64, _ Media, _ Options, l Layout) {
		for _, l := range []Layout{l, l.Upright()} {
			svg := l.SVG()
			drawn(t, svg)
			if bytes.Contains(svg, []byte("NaN")) || bytes.Contains(svg, []byte("Inf")) || len(svg) > 64<<10 {
				t.Errorf("%d bytes", len(svg))
			}
		}
	})
}

// TestTheDrawingShowsThePictureInPlace: its middle is the picture's, and it lies as the
// print does.
func TestTheDrawingShowsThePictureInPlace(t *testing.T) {
	for _, turned := range []bool{false, true} {
		l := Layout{Media: "roll", Sheet: Rect{0, 0, 400, 500}, Printable: Rect{10, 10, 380, 480}, Picture: Rect{50, 100, 300, 200}, Ink: Rect{50, 100, 300, 200}, Outer: Rect{50, 100, 300, 200}, LeadingEdge: "top", Turned: turned, Fits: true}
		d := string(l.SVGWith("data:image/jpeg;base64,AAAA"))
		want := `href="data:image/jpeg;base64,AAAA" x="126.00" y="170.00" width="264.00" height="176.00"`
		if turned { // 300 mm are 264 units at 440 to 500 mm; the middle is at 258 by 258
			want = `href="data:image/jpeg;base64,AAAA" x="170.00" y="126.00" width="176.00" height="264.00"`
		}
		if !strings.Contains(d, want) || strings.Contains(d, `rotate(-90 258.00 258.00)`) != turned {
			t.Errorf("turned %v: %s", turned, d[strings.Index(d, "<image"):][:200])
		}
		if strings.Contains(string(l.SVG()), "<image") {
			t.Error("a picture nobody asked for")
		}
	}
}

// TestTheLegendNamesTheSidesThatOneLooksAt: of a turned print the leading edge is drawn at the
// right, so the trailing margin of 14 mm is at the left and the paper's left side above.
func TestTheLegendNamesTheSidesThatOneLooksAt(t *testing.T) {
	m := Media{Name: "matt", Kind: CutSheet, WidthMM: 457.2, LengthMM: 635, Margins: Margins{LeftMM: 4, RightMM: 5, LeadingMM: 3, TrailingMM: 14}}
	l := New(594, 396, m, Options{Placement: OnPrintable}).Upright()
	_, text := drawn(t, l.SVG())
	for _, want := range []string{"margins: left 14 (trailing edge), right 3 (leading edge), above 4, below 5", "to o (the picture's): 0.5 mm up, 5.5 mm right"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in %q", want, text)
		}
	}
}
