package label

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"
)

// texts reads a label back: its lines, and how many are drawn narrower.
func texts(t *testing.T, svg []byte) (lines []string, narrowed int) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(string(svg)))
	for in := false; ; {
		token, err := d.Token()
		if err == io.EOF {
			return lines, narrowed
		}
		if err != nil {
			t.Fatalf("%v in %s", err, svg)
		}
		switch x := token.(type) {
		case xml.StartElement:
			in = x.Name.Local == "text"
			for _, a := range x.Attr {
				if a.Name.Local == "textLength" {
					narrowed++
				}
			}
		case xml.CharData:
			if in {
				lines = append(lines, string(x))
			}
		case xml.EndElement:
			in = false
		}
	}
}

func TestALabelSaysAllThatIsKnown(t *testing.T) {
	got, narrowed := texts(t, SVG(Words{"Ebb & flow <1>", "A Printmaker", "4/25", "A2, 594 x 396 mm", "rag", "2026-03-14"}))
	if want := "Ebb & flow <1>|A Printmaker|Edition 4/25|A2, 594 x 396 mm|rag|2026-03-14"; strings.Join(got, "|") != want || narrowed != 0 {
		t.Errorf("%q, %d narrower", got, narrowed)
	}
	if got, _ := texts(t, SVG(Words{Title: "marsh"})); len(got) != 1 {
		t.Errorf("lines for what is not known: %q", got)
	}
}

// A long title is drawn narrower, and whole; what would control a terminal is shown as text.
func TestALongTitleStaysWholeAndWithinTheLabel(t *testing.T) {
	long := strings.Repeat("Low water at the sluice, ", 10) + "\x1b[31m\nend"
	got, narrowed := texts(t, SVG(Words{Title: long}))
	if len(got) != 1 || narrowed != 1 || !strings.HasPrefix(got[0], long[:240]) || !strings.HasSuffix(got[0], "end") || strings.ContainsAny(got[0], "\x1b\n") {
		t.Errorf("%q, %d narrower", got, narrowed)
	}
}
