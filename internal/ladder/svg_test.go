package ladder

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"sizewright/internal/plaintext"
	"sizewright/internal/printsize"
)

// texts parses a plot and returns its text by element. It fails the test if the plot is
// not well-formed.
func texts(t *testing.T, svg []byte) map[string][]string {
	t.Helper()
	found := map[string][]string{}
	d := xml.NewDecoder(bytes.NewReader(svg))
	var open []string
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return found
		}
		if err != nil {
			t.Fatalf("%v in\n%s", err, svg)
		}
		switch token := token.(type) {
		case xml.StartElement:
			open = append(open, token.Name.Local)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if s := strings.TrimSpace(string(token)); s != "" {
				found[open[len(open)-1]] = append(found[open[len(open)-1]], s)
			}
		}
	}
}

func has(all []string, want string) bool {
	for _, s := range all {
		if s == want {
			return true
		}
	}
	return false
}

func TestThePlotNamesWhatItShows(t *testing.T) {
	l := New(saltMarsh(natural(1)), nil, Options{Mark: "A2"})
	text := texts(t, l.SVG())["text"]
	for _, want := range []string{
		"salt-marsh.tif", "A6", "A3+", "40x60in", "0 %", "100 %",
		"fine detail seen", "seen, coming nearer", "seen from 25 cm",
		"needs at least " + l.Needs.Rung, "carries up to " + l.Carries.Rung, "this print: A2",
	} {
		if !has(text, want) {
			t.Errorf("no %q in %q", want, text)
		}
	}
	l.Mark = ""
	if strings.Contains(string(l.SVG()), "this print") {
		t.Error("a rung is marked without Options.Mark")
	}
}

// Lines differ by dashes and markers only, since all colours are greys.
func TestThePlotReadsWithoutColour(t *testing.T) {
	svg := string(New(saltMarsh(natural(1)), nil, Options{}).SVG())
	for _, dash := range []string{`stroke-dasharray="none"`, `stroke-dasharray="7 4"`} {
		if !strings.Contains(svg, dash) {
			t.Errorf("no line with %s", dash)
		}
	}
	for rest := svg; ; {
		_, after, ok := strings.Cut(rest, ":#")
		if !ok {
			break
		}
		rest = after
		hex := after[:strings.IndexAny(after, ";}")]
		if len(hex) == 3 {
			hex = string([]byte{hex[0], hex[0], hex[1], hex[1], hex[2], hex[2]})
		}
		if hex[:2] != hex[2:4] || hex[:2] != hex[4:] {
			t.Errorf("#%s is not a grey", hex)
		}
	}
}

func TestThePlotAsksForNothing(t *testing.T) {
	svg := string(New(saltMarsh(natural(1)), nil, Options{}).SVG())
	for _, no := range []string{"<script", "href", "url(", "@import", "<image", "<foreignObject", " on"} {
		if strings.Contains(svg[strings.Index(svg, "</desc>"):], no) {
			t.Errorf("it has %s", no)
		}
	}
}

func TestAHostileNameStaysText(t *testing.T) {
	for _, name := range []string{
		`</text><script>alert(1)</script>`, `a & b "c" 'd' <e`, "]]>--><!--", "\xff\xfe broken", "null\x00bell\x07",
		strings.Repeat("\U0001f426", 500), "", "\u202egnp.exe",
	} {
		p := saltMarsh(natural(1))
		p.Name = name
		size := printsize.Size{Name: name, WidthMM: 300, HeightMM: 200}
		l := New(p, []printsize.Size{size, {Name: "A2", WidthMM: 420, HeightMM: 594}}, Options{Mark: name})
		found := texts(t, l.SVG())
		if len(found["script"]) > 0 {
			t.Errorf("%q became a script", name)
		}
		if !strings.Contains(name, "\x00") && !strings.Contains(name, "\xff") && name != "" && found["title"][0] != plaintext.Line(name) {
			t.Errorf("%q is called %q", name, found["title"][0])
		}
	}
}

func TestAnyRungsMakeAPlot(t *testing.T) {
	for _, names := range [][]string{
		{"A4"}, {"A4", "A4"}, {"1x1cm", "20x20m"},
		{"40x60cm", "41x61cm", "42x62cm", "43x63cm", "44x64cm"},
	} {
		for _, s := range []float64{0.05, 0.5, 1} {
			svg := string(New(saltMarsh(natural(s)), sizes(t, names...), Options{Mark: names[0]}).SVG())
			texts(t, []byte(svg))
			if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
				t.Errorf("%v: a coordinate is not a number", names)
			}
		}
	}
	texts(t, New(saltMarsh(nil), nil, Options{}).SVG())
}

func TestALadderThatWasReadBackIsDrawnFromItsRungs(t *testing.T) {
	data, err := json.Marshal(New(saltMarsh(natural(1)), nil, Options{}))
	if err != nil {
		t.Fatal(err)
	}
	var l Ladder
	if err := json.Unmarshal(data, &l); err != nil {
		t.Fatal(err)
	}
	if text := texts(t, l.SVG())["text"]; !has(text, "needs at least "+l.Needs.Rung) {
		t.Errorf("only %q", text)
	}
}

func BenchmarkLadder(b *testing.B) {
	p := saltMarsh(natural(1))
	for b.Loop() {
		New(p, nil, Options{}).SVG()
	}
}
