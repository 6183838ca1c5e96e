package roll

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

func TestTheDrawingIsXMLToScaleInOneColour(t *testing.T) {
	items := prints(true, [2]float64{420, 594}, [2]float64{210, 297}, [2]float64{210, 297}, [2]float64{148, 210})
	items[0].ID = `<script>"&'` + "\x00\xff"
	r := Pack(items, house).Runs[0]
	svg := r.SVG(nil)
	d := xml.NewDecoder(bytes.NewReader(svg))
	rects, lines, ids := 0, 0, map[string]bool{}
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("%v in %s", err, svg)
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		at := map[string]string{}
		for _, a := range e.Attr {
			at[a.Name.Local] = a.Value
		}
		switch e.Name.Local {
		case "script":
			t.Error("a name became an element")
		case "line":
			c := r.Cuts[lines]
			if lines++; c.Direction == Across && at["x1"] != fmt.Sprintf("%.2f", c.AtMM) || c.Direction == Along && at["y1"] != fmt.Sprintf("%.2f", r.WidthMM-c.AtMM) {
				t.Errorf("%+v is drawn at %v", c, at)
			}
		case "rect":
			if rects++; rects > 1 {
				p := r.Pieces[rects-2]
				ids[p.ID] = true
				for key, want := range map[string]float64{"x": p.Y, "y": r.WidthMM - p.X - p.Width, "width": p.Height, "height": p.Width} {
					if v, _ := strconv.ParseFloat(at[key], 64); fmt.Sprintf("%.2f", v) != fmt.Sprintf("%.2f", want) {
						t.Errorf("%+v is drawn with %s %v", p, key, at[key])
					}
				}
			}
		}
	}
	if rects != len(items)+1 || lines != len(r.Cuts) || len(ids) != len(items) {
		t.Errorf("%d rectangles and %d lines for %d prints and %d cuts", rects, lines, len(items), len(r.Cuts))
	}
	if colours := regexp.MustCompile(`#[0-9a-f]{3}|rgb|black|white`).Find(svg); colours != nil {
		t.Errorf("it has a colour: %s", colours)
	}
	for n := range r.Pieces {
		if !strings.Contains(string(svg), fmt.Sprintf(">%d</text>", n+1)) {
			t.Errorf("print %d has no number", n+1)
		}
	}
}

// TestThePictureLiesInTheDrawingAsOnTheRoll: the drawing is the paper turned a quarter, its
// leading edge at the left, and no mirror image of it. On the roll a turned piece lies a
// quarter clockwise: its top is at the roll's right side.
func TestThePictureLiesInTheDrawingAsOnTheRoll(t *testing.T) {
	const w, h = 300, 200                                           // of the upright piece
	shown := Shown{"data:image/jpeg;base64,AAAA", 20, 10, 250, 150} // with an uneven border
	for _, turned := range []bool{false, true} {
		p := Piece{ID: "a", X: 50, Y: 70, Width: w, Height: h, Turned: turned}
		if turned {
			p.Width, p.Height = h, w
		}
		svg := string(Run{WidthMM: 610, LengthMM: 900, Pieces: []Piece{p}}.SVG(func(string) Shown { return shown }))
		m := regexp.MustCompile(`<image [^>]*x="(\S+)" y="(\S+)" width="(\S+)" height="(\S+)"[^>]*transform="(\w+)\(([^)]*)\)"`).FindStringSubmatch(svg)
		if m == nil {
			t.Fatalf("no picture in %s", svg)
		}
		if fmt.Sprint(m[1:5]) != "[20.00 10.00 250.00 150.00]" {
			t.Errorf("turned %v: the picture is %v of its piece", turned, m[1:5])
		}
		var a [6]float64
		if m[5] == "translate" {
			a[0], a[3] = 1, 1
			fmt.Sscan(m[6], &a[4], &a[5])
		} else {
			fmt.Sscan(m[6], &a[0], &a[1], &a[2], &a[3], &a[4], &a[5])
		}
		for _, at := range [][2]float64{{0, 0}, {w, 0}, {0, h}, {120, 30}} { // of the upright piece
			x, y := p.X+at[0], p.Y+at[1] // on the roll
			if turned {
				x, y = p.X+h-at[1], p.Y+at[0]
			}
			gotX, gotY := a[0]*at[0]+a[2]*at[1]+a[4], a[1]*at[0]+a[3]*at[1]+a[5]
			if gotX != y || gotY != 610-x {
				t.Errorf("turned %v: %v of the piece is drawn at %g, %g, want %g, %g", turned, at, gotX, gotY, y, 610-x)
			}
		}
	}
}
