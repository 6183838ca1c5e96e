package report

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"sizewright/configs"
	"sizewright/internal/packing"
	"sizewright/internal/record"
	"sizewright/internal/testkit/reference"
)

func reportSchema(t *testing.T) *jsonschema.Schema {
	return reference.Schema(t, configs.MorningSchema)
}

// reportOf is a night's JSON, read back.
func reportOf(t *testing.T, n *Night) map[string]any {
	t.Helper()
	data, err := n.JSON()
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return doc.(map[string]any)
}

func TestTheReportHasTheFormOfItsSchema(t *testing.T) {
	s := newStudio(t)
	full := s.night()
	odd := nightOf(s.Made("A2", `50% #1 "é".jpg`))
	odd.Left = []record.Left{{Name: "stray.jpg", Text: "it lies beside the drop folders"}}
	for name, n := range map[string]*Night{"full": full, "odd names": odd, "empty": nightOf()} {
		if err := reportSchema(t).Validate(reportOf(t, n)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestTheSchemaRefusesWhatIsNoReport(t *testing.T) {
	order := func(doc map[string]any, i int) map[string]any { return doc["orders"].([]any)[i].(map[string]any) }
	const made, held, proofed = 0, 4, 6 // of the test night
	gamut := func(doc map[string]any) map[string]any { return order(doc, proofed)["gamut"].(map[string]any) }
	n, schema := newStudio(t).night(), reportSchema(t)
	for fault, spoil := range map[string]func(doc map[string]any){
		"another form":                     func(d map[string]any) { d["schema"] = "sizewright/morning-report/2" },
		"no date":                          func(d map[string]any) { d["date"] = "yesterday" },
		"orders null":                      func(d map[string]any) { d["orders"] = nil },
		"an unknown property":              func(d map[string]any) { d["note"] = "x" },
		"a count below zero":               func(d map[string]any) { d["counts"].(map[string]any)["held"] = -1 },
		"made without a print":             func(d map[string]any) { delete(order(d, made), "print") },
		"made, without its link":           func(d map[string]any) { delete(order(d, made)["links"].(map[string]any), "print") },
		"made, with a reason":              func(d map[string]any) { order(d, made)["reason"] = "x" },
		"held without a reason":            func(d map[string]any) { delete(order(d, held), "reason") },
		"held with a print":                func(d map[string]any) { order(d, held)["print"] = order(d, made)["print"] },
		"a link with a space":              func(d map[string]any) { order(d, made)["links"].(map[string]any)["record"] = "../A4 lustre/x.json" },
		"a share in per cent":              func(d map[string]any) { gamut(d)["share_beyond_3"] = 4.2 },
		"a gamut with no worst":            func(d map[string]any) { delete(gamut(d), "max") },
		"regions null":                     func(d map[string]any) { gamut(d)["regions"] = nil },
		"held with a gamut":                func(d map[string]any) { order(d, held)["gamut"] = gamut(d) },
		"held with nothing to do about it": func(d map[string]any) { order(d, held)["to_do"] = "" },
		"no sentence":                      func(d map[string]any) { delete(d, "sentence") },
		"held with a ladder":               func(d map[string]any) { order(d, held)["ladder"] = order(d, proofed)["ladder"] },
		"a cut-out without its before": func(d map[string]any) {
			delete(order(d, proofed)["print"].(map[string]any)["crops"].([]any)[0].(map[string]any), "link_before")
		},
		"a gain in per cent": func(d map[string]any) { order(d, proofed)["ladder"].(map[string]any)["gain"] = 38 },
		"held with a map": func(d map[string]any) {
			order(d, held)["links"].(map[string]any)["gamut_map"] = "../A2/x.gamut.png"
		},
	} {
		doc := reportOf(t, n)
		spoil(doc)
		if err := schema.Validate(doc); err == nil {
			t.Errorf("%s: the schema takes it", fault)
		}
	}
}

// TestTheReportGroupsAsThePageDoes: what waits together, what is printed together, what is
// settled.
func TestTheReportGroupsAsThePageDoes(t *testing.T) {
	s := newStudio(t)
	n := nightOf(s.TooSmall("A2", "a.jpg"), s.TooSmall("A1", "b.jpg"), s.packed("A4 lustre", "c.jpg", "Marsh Lustre", 2),
		s.packed("A4 matt", "d.jpg", "", 1), s.TooSmall("A2", "e.jpg"), s.Made("A3", "e.jpg"))
	n.Paper = packing.Of(n.Records)
	if err := reportSchema(t).Validate(reportOf(t, n)); err != nil {
		t.Error(err)
	}
	var f nightJSON
	data, err := n.JSON()
	s.Must(err)
	s.Must(json.Unmarshal(data, &f))
	if len(f.Causes) != 1 || !slices.Equal(f.Causes[0].Orders, []int{0, 1}) || f.Causes[0].Title != "Two pictures are too small for their sizes" {
		t.Errorf("causes %+v", f.Causes)
	}
	if f.Orders[4].Settled != "A3" || f.Orders[0].Settled != "" {
		t.Errorf("settled are %q and %q", f.Orders[0].Settled, f.Orders[4].Settled)
	}
	if len(f.Loads) != 2 || f.Loads[0].Media != "roll24" || f.Loads[0].Estimate.RollM <= 0 || len(f.Loads[0].Prints) != 2 {
		t.Fatalf("loads %+v", f.Loads)
	}
	for _, p := range f.Loads[0].Prints {
		if want := map[int]int{2: 2, 3: 1}[p.Order]; len(p.Pieces) != want || p.Copies != want || p.Driver == "" {
			t.Errorf("print %+v, want %d pieces", p, want)
		}
	}
}

func TestTheReportTellsTheEssentials(t *testing.T) {
	data, err := newStudio(t).night().JSON()
	if err != nil {
		t.Fatal(err)
	}
	var f nightJSON
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&f); err != nil {
		t.Fatal(err)
	}
	// 6240 px over 36 in are 173.3 ppi; at 360 ppi, 36 in are 12960 px, and
	// 24 in, which a 3 to 2 picture meets as well, 8640 px.
	dawn := f.Orders[0]
	if p := dawn.Print; p.WidthPX != 12960 || p.HeightPX != 8640 || p.NativePPI != 173.3 || p.PPI != 360 || p.WidthMM != 914.4 || p.HeightMM != 609.6 {
		t.Errorf("dawn.jpg on 24x36in: %+v", *p)
	}
	if got, want := dawn.Links, (links{Print: "../24x36in/dawn.tif", Preview: "../24x36in/dawn.preview.jpg", Record: "../24x36in/dawn.json", Original: "../../originals/24x36in/dawn.jpg"}); got != want {
		t.Errorf("links of dawn.jpg: %+v", got)
	}
	again := f.Orders[3]
	if again.RepeatOf != "outbox/24x36in/dawn.json" || again.Links.Print != dawn.Links.Print || again.Links.Record == dawn.Links.Record {
		t.Errorf("the repeat of dawn.jpg: %+v", again)
	}
	small := f.Orders[4]
	if small.Print != nil || small.Largest == nil || small.Largest.WidthMM <= 0 || small.Verdict != "too-small" || dawn.Verdict != "carries" || !strings.HasPrefix(small.Reason, "too small for 40x60in") {
		t.Errorf("held: %+v", small)
	}
	if cut := f.Orders[5]; cut.Largest != nil || cut.Source.Width != 0 || cut.Code != "damaged" {
		t.Errorf("held, unreadable: %+v", cut)
	}
	proof := f.Orders[6]
	if got := proof.Links; got.OnPaper != "../A3%20matt/samphire.paper.jpg" || got.GamutMap != "../A3%20matt/samphire.gamut.png" {
		t.Errorf("links of samphire.jpg: %+v", got)
	}
	if g := proof.Gamut; g.Beyond1 != 0.083 || g.Beyond3 != 0.042 || g.Beyond6 != 0.011 || g.Max != 9.8 || len(g.Regions) != 2 ||
		!strings.HasPrefix(g.Regions[0], "deep yellow-green, 3.1 % of the picture") {
		t.Errorf("gamut of samphire.jpg: %+v", *g)
	}
	if c := proof.Print.Crops; len(c) != 3 || c[0] != (cropJSON{"detail", "the detail measured most", 320, 22.6, "../A3%20matt/samphire.detail.jpg", "../A3%20matt/samphire.detail.before.jpg"}) {
		t.Errorf("cut-outs of samphire.jpg: %+v", c)
	}
	if l := proof.Ladder; l == nil || l.Verdict == "" {
		t.Errorf("ladder of samphire.jpg: %+v", l)
	}
	if !strings.HasPrefix(f.Sentence, "24 pictures were not made; four prints were made between Friday 23:10 and") || small.ToDo != "Drop it into A3, or find a file with more pixels." || dawn.ToDo != "" {
		t.Errorf("the sentence is %q, of the one that was too small %q", f.Sentence, small.ToDo)
	}
	if dawn.Gamut != nil {
		t.Error("a gamut of a print on no stock")
	}
}
