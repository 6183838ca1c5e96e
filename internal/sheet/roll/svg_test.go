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
	svg := r.SVG()
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
			if lines++; c.Direction == Across && at["x1"] != fmt.Sprintf("%.2f", c.AtMM) || c.Direction == Along && at["y1"] != fmt.Sprintf("%.2f", c.AtMM) {
				t.Errorf("%+v is drawn at %v", c, at)
			}
		case "rect":
			if rects++; rects > 1 {
				p := r.Pieces[rects-2]
				ids[p.ID] = true
				for key, want := range map[string]float64{"x": p.Y, "y": p.X, "width": p.Height, "height": p.Width} {
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
