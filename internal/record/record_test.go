package record

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"sizewright/configs"
	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/printsize"
	"sizewright/internal/testkit/reference"
)

const (
	sha      = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"
	otherSHA = "60303ae22b998861bce3b28f33eec1be758a213c86c93c076dbe9f558c11c752"
)

// marsh is a 26 megapixel photograph that says all it can.
func marsh() *photo.Info {
	return &photo.Info{
		Format: "JPEG", Width: 6240, Height: 4160, Orientation: 6, Bits: 8, Model: photo.RGB,
		ColourHint: photo.HintA98,
		EXIF: photo.EXIF{
			Make: "Heron", Camera: "Heron Mark 2", Lens: "35 mm f/2", ISO: 200,
			DateTimeOriginal: "2026:03:10 06:12:00",
		},
	}
}

func planOf(t *testing.T, info *photo.Info, folder string) *order.Plan {
	t.Helper()
	size, stock, err := printsize.Parse(folder)
	if err != nil {
		t.Fatal(err)
	}
	return order.NewPlan(info, order.Order{Size: size, Stock: stock, Settings: config.Default().Print})
}

// ordered is the record of an order in hand: what is known before it ends.
func ordered(folder, name string) *Record {
	claimed := time.Date(2026, 3, 14, 2, 10, 0, 123456789, time.FixedZone("", 3600))
	return &Record{
		Schema:   SchemaID,
		Order:    Order{Folder: folder, Size: "A2"},
		Source:   Source{Name: name, Original: "originals/" + folder + "/" + name, SHA256: sha, Bytes: 11_204_511},
		Cautions: []photo.Caution{},
		Times:    Times{Claimed: claimed, Finished: claimed.Add(41 * time.Second)},
	}
}

// planned adds a plan and what the picture's header says.
func planned(r *Record, info *photo.Info, p *order.Plan) *Record {
	r.Plan, r.Cautions, r.Verdict = p, p.Cautions, p.Resolution.Verdict
	r.Source = SourceOf(r.Source, info, p)
	return r
}

// printed adds the print.
func printed(r *Record) *Record {
	r.Print = PrintOf(r.Plan)
	r.Print.File, r.Print.Preview, r.Print.Bytes = "marsh.tif", "marsh.preview.jpg", 201_330_072
	r.Status = StatusOf(r.Verdict, r.Cautions)
	return r
}

// onStock are the settings of a folder whose stock has a profile: an invented
// one, which is our own ROMM RGB.
func onStock(t *testing.T) order.Output {
	t.Helper()
	p, err := colour.ParseProfile(colour.ROMMProfile())
	if err != nil {
		t.Fatal(err)
	}
	return order.Output{Profile: p, Kind: order.ToStock, Intent: colour.Relative, BlackPoint: true}
}

// proofed is a print on a stock with a profile: a marsh whose samphire the
// paper does not hold.
func proofed(t *testing.T) *Record {
	t.Helper()
	info := marsh()
	size, stock, err := printsize.Parse("A2 matt")
	if err != nil {
		t.Fatal(err)
	}
	plan := order.NewPlan(info, order.Order{Size: size, Stock: stock, Settings: config.Default().Print, Output: onStock(t)})
	r := printed(planned(ordered("A2 matt", "marsh.jpg"), info, plan))
	r.Print.OnPaper, r.Print.GamutMap = "marsh.paper.jpg", "marsh.gamut.png"
	r.Gamut = &colour.Gamut{
		Profile: plan.Colour.Output, Measured: 1_000_188,
		Shares: colour.Shares{Beyond1: 0.083, Beyond3: 0.042, Beyond6: 0.011}, Median: 3.04, Compensated: true,
		Blacks: colour.Shares{Beyond1: 0.01, Beyond3: 0.006}, Seen: &colour.Shares{Beyond1: 0.05, Beyond3: 0.031, Beyond6: 0.011},
		P95: 7.2, Max: 9.8,
		Regions: []colour.Region{{
			X: 1040, Y: 2210, Width: 1690, Height: 780, Share: 0.031, DeltaE: 5.2,
			Asked: colour.Lab{41.2, -38.5, 47.1}, Got: colour.Lab{42.6, -31.9, 36.4},
			Hue: "deep yellow-green", Loses: "chroma",
			Text: "deep yellow-green, 3.1 % of the picture, misses by 5.2 on average: it loses chroma (61 to 48)",
		}},
		Spaces: []colour.SpaceLoss{
			{Space: colour.SRGB.Name, Shares: colour.Shares{Beyond1: 0.1, Beyond3: 0.051, Beyond6: 0.02}, Max: 12},
			{Space: colour.A98.Name}, {Space: colour.ROMM.Name},
		},
	}
	return r
}

// records are one of each kind.
func records(t *testing.T) map[string]*Record {
	t.Helper()
	info := marsh()
	calm := planOf(t, info, "A2 lustre")
	calm.Cautions = []photo.Caution{} // as of a picture with its profile embedded
	made := printed(planned(ordered("A2 lustre", "marsh.jpg"), info, calm))

	bare := *info
	bare.ColourHint = "" // nothing says what its colours are
	cautioned := printed(planned(ordered("A2", "marsh.jpg"), &bare, planOf(t, &bare, "A2")))

	again := printed(planned(ordered("A2", "marsh (copy).jpg"), info, planOf(t, info, "A2")))
	again.RepeatOf = "outbox/A2/marsh.json"

	proof := proofed(t)
	proofAgain := proofed(t)
	proofAgain.RepeatOf, proofAgain.Gamut = "outbox/A2 matt/marsh.json", nil
	unmeasured := proofed(t) // as of CMYK without a profile
	unmeasured.Gamut, unmeasured.Print.GamutMap = nil, ""

	small := marsh()
	small.Width, small.Height = 800, 533
	tooSmall := planned(ordered("A2", "creek.jpg"), small, planOf(t, small, "A2"))
	if tooSmall.Plan.Refusal == nil {
		t.Fatal("800 x 533 px on A2 is meant to be refused")
	}
	tooSmall.Hold(&tooSmall.Plan.Refusal.Hold)

	unreadable := ordered("A2", "cut.jpg")
	unreadable.Hold(photo.Damaged.With("copy it again from the card").Say("cut.jpg is cut short: the JPEG ends before its last line"))

	unread := ordered("A2", "huge.tif")
	unread.Source.SHA256 = ""
	unread.Hold(photo.TooLarge.With("export it smaller or compressed").Say("huge.tif is 3.0 GiB, more than the 2.0 GiB that are read here"))

	return map[string]*Record{
		"made": made, "made with a caution": cautioned, "made before": again,
		"made for a stock with a profile": proof, "the same, made before": proofAgain, "the same, not measured": unmeasured,
		"held, too few pixels": tooSmall, "held, unreadable": unreadable, "held, unread": unread,
	}
}

func schema(t *testing.T) *jsonschema.Schema {
	return reference.Schema(t, configs.PrintRecordSchema)
}

func encode(t *testing.T, r *Record) []byte {
	t.Helper()
	data, err := r.Encode()
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func document(t *testing.T, data []byte) map[string]any {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return doc.(map[string]any)
}

func TestEveryKindOfRecordHasTheFormOfTheSchema(t *testing.T) {
	s := schema(t)
	for kind, r := range records(t) {
		if err := s.Validate(document(t, encode(t, r))); err != nil {
			t.Errorf("%s: %v", kind, err)
		}
	}
}

// TestPlansOfEverySizeHaveTheFormOfTheSchema runs pictures of many shapes over
// every usual size, whole and filled: whatever is decided can be recorded.
func TestPlansOfEverySizeHaveTheFormOfTheSchema(t *testing.T) {
	s := schema(t)
	for _, shape := range [][2]int{{6240, 4160}, {4160, 6240}, {5000, 5000}, {12000, 1500}, {4961, 7016}, {900, 600}, {1, 1}} {
		for _, size := range printsize.Known() {
			for _, fit := range []config.Fit{config.FitWhole, config.FitFill} {
				info := marsh()
				info.Width, info.Height = shape[0], shape[1]
				settings := config.Default().Print
				settings.Fit = fit
				r := planned(ordered(size.Name, "marsh.jpg"), info, order.NewPlan(info, order.Order{Size: size, Settings: settings}))
				if x := r.Plan.Refusal; x != nil {
					r.Hold(&x.Hold)
				} else {
					printed(r)
				}
				if err := s.Validate(document(t, encode(t, r))); err != nil {
					t.Errorf("%d x %d px, %s, %s: %v", shape[0], shape[1], size, fit, err)
				}
			}
		}
	}
}

// at is the object at a path of names in a document.
func at(doc map[string]any, path ...string) map[string]any {
	for _, name := range path {
		doc = doc[name].(map[string]any)
	}
	return doc
}

func TestTheSchemaRefusesWhatIsNoRecord(t *testing.T) {
	const made, cautioned, held, proofed = "made", "made with a caution", "held, too few pixels", "made for a stock with a profile"
	region := func(d map[string]any) map[string]any { return at(d, "gamut")["regions"].([]any)[0].(map[string]any) }
	space := func(d map[string]any) map[string]any {
		return at(d, "gamut")["working_spaces"].([]any)[0].(map[string]any)
	}
	tests := []struct {
		fault   string
		kind    string
		doIt    func(doc map[string]any)
		mention string // where the schema finds the fault
	}{
		{"another form", made, func(d map[string]any) { d["schema"] = "sizewright/print-record/2" }, "/schema"},
		{"an unknown status", made, func(d map[string]any) { d["status"] = "done" }, "/status"},
		{"a print of unknown bytes", made, func(d map[string]any) { delete(at(d, "source"), "sha256") }, "sha256"},
		{"no status", made, func(d map[string]any) { delete(d, "status") }, "status"},
		{"made, but no print", made, func(d map[string]any) { delete(d, "print") }, "print"},
		{"made, but no plan", made, func(d map[string]any) { delete(d, "plan") }, "plan"},
		{"made, with a reason against it", made, func(d map[string]any) { d["reason"] = "too small" }, "/reason"},
		{"made against a refusal", made, func(d map[string]any) {
			at(d, "plan")["refusal"] = map[string]any{"code": "x", "text": "x", "largest_width_mm": 1, "largest_height_mm": 1}
		}, "/plan/refusal"},
		{"ready with cautions, without one", cautioned, func(d map[string]any) { d["cautions"] = []any{} }, "/cautions"},
		{"held without a reason", held, func(d map[string]any) { delete(d, "reason") }, "reason"},
		{"held for an empty reason", held, func(d map[string]any) { d["reason"] = "" }, "/reason"},
		{"held without a code", held, func(d map[string]any) { delete(d, "reason_code") }, "reason_code"},
		{"held, with a print", held, func(d map[string]any) { d["print"] = map[string]any{} }, "/print"},
		{"held, as a repeat", held, func(d map[string]any) { d["repeat_of"] = "outbox/A2/marsh.json" }, "/repeat_of"},
		{"a property nobody knows", made, func(d map[string]any) { d["note"] = "nice" }, "note"},
		{"one inside the plan", made, func(d map[string]any) { at(d, "plan", "scale")["z"] = 1 }, "/plan/scale"},
		{"cautions null", made, func(d map[string]any) { d["cautions"] = nil }, "/cautions"},
		{"a caution without a text", cautioned, func(d map[string]any) { d["cautions"] = []any{map[string]any{"code": "x"}} }, "/cautions/0"},
		{"no picture", made, func(d map[string]any) { at(d, "print")["width_px"] = 0 }, "/print/width_px"},
		{"half a pixel", made, func(d map[string]any) { at(d, "print")["width_px"] = 8419.5 }, "/print/width_px"},
		{"a print of no width", made, func(d map[string]any) { at(d, "plan", "print")["width_mm"] = 0 }, "/plan/print/width_mm"},
		{"0 ppi", made, func(d map[string]any) { at(d, "print")["ppi"] = 0 }, "/print/ppi"},
		{"12 bits", made, func(d map[string]any) { at(d, "plan", "file")["bits"] = 12 }, "/plan/file/bits"},
		{"orientation 9", made, func(d map[string]any) { at(d, "source")["orientation"] = 9 }, "/source/orientation"},
		{"a crop outside the picture", made, func(d map[string]any) { at(d, "plan", "crop")["x"] = -1 }, "/plan/crop/x"},
		{"a fit nobody knows", made, func(d map[string]any) { at(d, "plan")["fit"] = "stretch" }, "/plan/fit"},
		{"a checksum in capitals", made, func(d map[string]any) { at(d, "source")["sha256"] = strings.ToUpper(sha) }, "/source/sha256"},
		{"a checksum cut short", made, func(d map[string]any) { at(d, "source")["sha256"] = sha[1:] }, "/source/sha256"},
		{"a width without a height", made, func(d map[string]any) { delete(at(d, "source"), "height") }, "height"},
		{"a size in words", made, func(d map[string]any) { at(d, "source")["bytes"] = "11 MB" }, "/source/bytes"},
		{"a date that is none", made, func(d map[string]any) { at(d, "times")["finished"] = "2026-02-30T04:00:00+01:00" }, "/times/finished"},
		{"a time without its offset", made, func(d map[string]any) { at(d, "times")["finished"] = "2026-03-14T04:00:00" }, "/times/finished"},
		{"a taking in another form", made, func(d map[string]any) { at(d, "source", "camera")["taken"] = "10 March 2026" }, "/source/camera/taken"},
		{"a conversion nobody knows", made, func(d map[string]any) { at(d, "plan", "colour")["conversion"] = "cmyk to srgb" }, "/plan/colour/conversion"},
		{"a conversion without an intent", proofed, func(d map[string]any) { delete(at(d, "plan", "colour"), "intent") }, "/plan/colour"},
		{"an intent nobody knows", proofed, func(d map[string]any) { at(d, "plan", "colour")["intent"] = "vivid" }, "/plan/colour/intent"},
		{"an intent for no conversion", made, func(d map[string]any) { at(d, "plan", "colour")["intent"] = "relative" }, "/plan/colour/intent"},
		{"black points met by no conversion", made, func(d map[string]any) { at(d, "plan", "colour")["black_point_compensation"] = true }, "/plan/colour/black_point"},
		{"a profile of no content", made, func(d map[string]any) { at(d, "plan", "colour")["output_sha256"] = "" }, "/plan/colour/output_sha256"},
		{"a print in CIELAB", made, func(d map[string]any) { at(d, "plan", "colour")["model"] = "lab" }, "/plan/colour/model"},
		{"a proof without a name", proofed, func(d map[string]any) { at(d, "print")["preview_on_paper"] = "" }, "/print/preview_on_paper"},
		{"a map of nothing measured", proofed, func(d map[string]any) { delete(d, "gamut") }, "/print/gamut_map"},
		{"a gamut without its map", proofed, func(d map[string]any) { delete(at(d, "print"), "gamut_map") }, "gamut_map"},
		{"a gamut measured of a print made before", proofed, func(d map[string]any) { d["repeat_of"] = "outbox/A2/marsh.json" }, "/gamut"},
		{"4.2 % as 4.2", proofed, func(d map[string]any) { at(d, "gamut")["share_beyond_3"] = 4.2 }, "/gamut/share_beyond_3"},
		{"a share below nothing", proofed, func(d map[string]any) { at(d, "gamut")["share_beyond_1"] = -0.01 }, "/gamut/share_beyond_1"},
		{"a difference below nothing", proofed, func(d map[string]any) { at(d, "gamut")["p95_of_misses"] = -1 }, "/gamut/p95_of_misses"},
		{"no pixel measured", proofed, func(d map[string]any) { at(d, "gamut")["pixels_measured"] = 0 }, "/gamut/pixels_measured"},
		{"regions null", proofed, func(d map[string]any) { at(d, "gamut")["regions"] = nil }, "/gamut/regions"},
		{"a colour of two numbers", proofed, func(d map[string]any) { region(d)["asked_lab"] = []any{41.2, -38.5} }, "/gamut/regions/0/asked_lab"},
		{"a colour of four", proofed, func(d map[string]any) { region(d)["got_lab"] = []any{0, 0, 0, 1} }, "/gamut/regions/0/got_lab"},
		{"a loss nobody knows", proofed, func(d map[string]any) { region(d)["loses"] = "sparkle" }, "/gamut/regions/0/loses"},
		{"a region without a colour's name", proofed, func(d map[string]any) { region(d)["hue"] = "" }, "/gamut/regions/0/hue"},
		{"a region of no width", proofed, func(d map[string]any) { region(d)["width_px"] = 0 }, "/gamut/regions/0/width_px"},
		{"a space without a name", proofed, func(d map[string]any) { delete(space(d), "space") }, "/gamut/working_spaces/0"},
		{"a space that loses twice the picture", proofed, func(d map[string]any) { space(d)["share_beyond_6"] = 2 }, "/gamut/working_spaces/0/share_beyond_6"},
	}
	s, whole := schema(t), records(t)
	for _, test := range tests {
		t.Run(test.fault, func(t *testing.T) {
			doc := document(t, encode(t, whole[test.kind]))
			test.doIt(doc)
			err := s.Validate(doc)
			if err == nil {
				t.Fatal("the schema takes it")
			}
			if !strings.Contains(err.Error(), test.mention) {
				t.Errorf("refused, but not for %s: %v", test.mention, err)
			}
		})
	}
}

// TestEverySchemaPropertyIsDescribed: a record is read by people with only the
// schema at hand.
func TestEverySchemaPropertyIsDescribed(t *testing.T) {
	root := document(t, configs.PrintRecordSchema)
	defs := at(root, "$defs")
	var walk func(where string, node map[string]any)
	walk = func(where string, node map[string]any) {
		if node["type"] == "object" && node["additionalProperties"] != false {
			t.Errorf("%s lets unknown properties in", where)
		}
		properties, _ := node["properties"].(map[string]any)
		for name, p := range properties {
			property := p.(map[string]any)
			described := property
			if ref, ok := property["$ref"].(string); ok && property["description"] == nil {
				described = at(defs, strings.TrimPrefix(ref, "#/$defs/"))
			}
			if text, _ := described["description"].(string); text == "" && property["const"] == nil {
				t.Errorf("%s/%s has no description", where, name)
			}
			walk(where+"/"+name, property)
		}
	}
	walk("", root)
	for name, d := range defs {
		walk(name, d.(map[string]any))
	}
}

func TestARecordReadsBackAsItWasWritten(t *testing.T) {
	for kind, r := range records(t) {
		data := encode(t, r)
		back, err := Decode(data)
		if err != nil {
			t.Errorf("%s: %v", kind, err)
			continue
		}
		if again := encode(t, back); !bytes.Equal(again, data) {
			t.Errorf("%s: written %s\nread back and written again %s", kind, data, again)
		}
		if !back.Times.Finished.Equal(r.Times.Finished) {
			t.Errorf("%s: finished %v, read back %v", kind, r.Times.Finished, back.Times.Finished)
		}
	}
}

// A name that is no UTF-8 is a name all the same: the record stays text that anybody can
// read, and leads to the file.
func TestARecordLeadsToAnOriginalWhoseNameIsNoText(t *testing.T) {
	s := schema(t)
	for _, name := range []string{"caf\xe9.jpg", "\xff\xfe 50% #1.jpg", "caf\u00e9 \xe9\xe9.jpg", "\ufffd\xff.jpg"} {
		r := records(t)["held, unreadable"]
		r.Source.Name, r.Source.Original = name, "held/A2/"+name
		data := encode(t, r)
		doc := document(t, data)
		if err := s.Validate(doc); err != nil || !utf8.Valid(data) {
			t.Errorf("%q: %v", name, err)
		}
		if text, want := at(doc, "source")["original"], "held/A2/"+string([]rune(name)); text != want {
			t.Errorf("%q: people read %q, want %q", name, text, want)
		}
		back, err := Decode(data)
		if err != nil || back.Source.Original != r.Source.Original {
			t.Errorf("%q: leads to %q, %v", name, back.Source.Original, err)
		}
	}
	if r := records(t)["made"]; bytes.Contains(encode(t, r), []byte("original_escaped")) {
		t.Error("a path that is text is said twice")
	}
}

// Where the two forms of a path are not of one path, the one that people read counts.
func TestARecordDoesNotLeadElsewhereThanItSays(t *testing.T) {
	r := records(t)["held, unreadable"]
	r.Source.Original = "held/A2/caf\xe9.jpg"
	data := encode(t, r)
	for _, other := range []string{"../../etc/passwd", "held/A2/other%E9.jpg", "held/A2/caf%E9.jpg%", "held/A2/caf%E9%E9.jpg"} {
		forged := bytes.ReplaceAll(data, []byte(`"held/A2/caf%E9.jpg"`), []byte(`"`+other+`"`))
		back, err := Decode(forged)
		if err != nil || back.Source.Original != "held/A2/caf\ufffd.jpg" {
			t.Errorf("%s: leads to %q, %v", other, back.Source.Original, err)
		}
	}
}

// What is left out is what the pages across nights and the memory of prints do without.
func TestABriefReadingIsTheRecordWithoutItsPlan(t *testing.T) {
	for kind, r := range records(t) {
		data := encode(t, r)
		brief, err := DecodeBrief(data)
		if err != nil {
			t.Errorf("%s: %v", kind, err)
			continue
		}
		if (brief.Plan == nil) != (r.Plan == nil) || brief.Gamut != nil || brief.Ladder != nil {
			t.Errorf("%s: with a plan %t, and read with one %t", kind, r.Plan != nil, brief.Plan != nil)
		}
		whole, err := Decode(data)
		if err != nil {
			t.Fatal(err)
		}
		var line bytes.Buffer // as somebody else may set it
		if err := json.Compact(&line, data); err != nil {
			t.Fatal(err)
		}
		if other, err := DecodeBrief(line.Bytes()); err != nil || !reflect.DeepEqual(other, brief) {
			t.Errorf("%s: on one line it is read as %+v, %v", kind, other, err)
		}
		whole.Plan, whole.Gamut, whole.Ladder, brief.Plan = nil, nil, nil, nil
		if !bytes.Equal(encode(t, whole), encode(t, brief)) {
			t.Errorf("%s: read as %s", kind, encode(t, brief))
		}
	}
	if _, err := DecodeBrief([]byte(`{"schema": "sizewright/print-record/1", "plan": 3}`)); err == nil {
		t.Error("a number is a plan")
	}
	if _, err := DecodeBrief([]byte(`{"schema": "sizewright/morning-report/1"}`)); err == nil {
		t.Error("a morning report is a record")
	}
}

func BenchmarkDecode(b *testing.B) {
	data, err := records(&testing.T{})["made for a stock with a profile"].Encode()
	if err != nil {
		b.Fatal(err)
	}
	for name, decode := range map[string]func([]byte) (*Record, error){"whole": Decode, "brief": DecodeBrief} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := decode(data); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func TestDecodeRefusesWhatIsNoRecord(t *testing.T) {
	for name, data := range map[string]string{
		"nothing":          "",
		"null":             "null",
		"a list":           "[]",
		"another program":  `{"name": "marsh", "width": 6240}`,
		"another form":     `{"schema": "sizewright/morning-report/1", "orders": []}`,
		"cut short":        string(encode(t, records(t)["made"])[:200]),
		"a text as number": `{"schema": "sizewright/print-record/1", "source": {"bytes": "many"}}`,
	} {
		if r, err := Decode([]byte(data)); err == nil {
			t.Errorf("%s: read as %+v", name, r)
		} else if !strings.HasPrefix(err.Error(), "not a print record") {
			t.Errorf("%s: %v", name, err)
		}
	}
}
