package report

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"html"
	"image/jpeg"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"sizewright/internal/photo"
	"sizewright/internal/record"
	"sizewright/internal/testkit/studiotest"
)

func (s *studioDir) page(n *Night) string {
	s.Helper()
	b, err := n.Page(s.Context(), Making{Root: s.Root, Look: look})
	s.Must(err)
	return string(b)
}

// look decodes in this process, as tests' files do no harm.
func look(_ context.Context, file string) (*photo.Photo, error) {
	return photo.Open(file, photo.DefaultLimits())
}

var (
	tagPattern       = regexp.MustCompile(`<(/?[a-zA-Z0-9!]+)((?:\s[^<>]*)?)>`)
	attributePattern = regexp.MustCompile(`\s([a-zA-Z-]+)(?:="[^"]*")?`)
	voidElements     = []string{"meta", "img", "input", "!DOCTYPE"}
)

// skeleton is a page without its texts: its tags and their attributes' names.
func skeleton(page string) []string {
	var tags []string
	for _, m := range tagPattern.FindAllStringSubmatch(page, -1) {
		tag := m[1]
		for _, a := range attributePattern.FindAllStringSubmatch(m[2], -1) {
			tag += " " + a[1]
		}
		if strings.HasSuffix(m[2], "/") {
			tag += " /"
		}
		tags = append(tags, tag)
	}
	return tags
}

// hostile are names a picture may bear and texts its EXIF may hold.
var hostile = []string{
	`<script>alert(1)</script>`,
	`"><img src=x onerror=alert(1)>`,
	`' onmouseover='alert(1)`,
	`</style><style>*{display:none}</style>`,
	`</title></head><body><h1>`,
	`{{.Style}}`,
	`<!--`,
	`]]><![CDATA[`,
	`javascript:alert(1)`,
	`&lt;b&gt;&#34;`,
	"\u202egpj.evil",
	"caf\xe9\x1b[31m",
	strings.Repeat("W", 240),
}

// TestNamesAndEXIFNeverBecomeMarkup compares the pages of two nights that
// differ in their texts alone: every tag and attribute must be the same.
func TestNamesAndEXIFNeverBecomeMarkup(t *testing.T) {
	dressed := func(text string) (*studioDir, *Night) {
		s := newStudio(t)
		n := s.night()
		for i := range n.Records {
			r := &n.Records[i].Record
			r.Source.Name = text
			r.Source.Original = "originals/A2/" + strings.ReplaceAll(text, "/", "_")
			r.Source.Camera = record.Camera{Make: text, Model: text, Lens: text, ISO: 200}
			r.Order.Folder, r.Order.Size, r.Order.Stock = text, text, text
			if r.Reason != "" {
				r.Reason, r.Remedy = text, text
			}
			for c := range r.Cautions {
				r.Cautions[c].Text = text
			}
			if r.Gamut != nil {
				dressGamut(r, text)
				dressViews(r, text)
			}
		}
		for i := range n.Faults {
			n.Faults[i] = record.Fault{Folder: text, Name: text, Text: text}
		}
		n.Left = []record.Left{{Folder: text, Name: text, Text: text}}
		return s, n
	}
	s, n := dressed("marsh")
	if page := s.page(n); !strings.Contains(page, "Marsh. 320") || !strings.Contains(page, ">marsh</text>") {
		t.Fatal("the texts of the cut-outs or the ladder are not in the page at all")
	}
	if page := s.page(n); !strings.Contains(page, "marsh would lose") || !strings.Contains(page, "<dd>Marsh.</dd>") || !strings.Contains(page, "marsh, relative") {
		t.Fatal("the texts of the gamut are not in the page at all")
	}
	want := skeleton(s.page(n))
	for _, text := range hostile {
		s, n := dressed(text)
		page := s.page(n)
		if got := skeleton(page); !slices.Equal(got, want) {
			t.Errorf("%q changes the page from\n%q\nto\n%q", text, want, got)
		}
		if strings.ContainsAny(text, `<>"'`) && strings.Contains(page, text) {
			t.Errorf("%q stands in the page as it is", text)
		}
	}
}

// dressGamut puts a text wherever a record of colour holds one. The record's
// own files are there no more: names that a disk cannot bear are tried too.
func dressGamut(r *record.Record, text string) {
	r.Plan.Colour.Source, r.Plan.Colour.Output, r.Print.Profile, r.Gamut.Profile = text, text, text, text
	r.Print.OnPaper, r.Print.GamutMap = strings.ReplaceAll(text, "/", "_"), strings.ReplaceAll(text, "/", "_")
	for i := range r.Gamut.Regions {
		x := &r.Gamut.Regions[i]
		x.Hue, x.Loses, x.Text = text, text, text
	}
	for i := range r.Gamut.Spaces {
		r.Gamut.Spaces[i].Space = text
	}
}

// dressViews puts a text into the cut-outs and the ladder. Their files stay.
func dressViews(r *record.Record, text string) {
	for i := range r.Print.Crops {
		r.Print.Crops[i].Name, r.Print.Crops[i].Why = text, text
	}
	l := r.Ladder
	l.Picture, l.Holds, l.Verdict, l.Basis, l.Mark = text, text, text, text, text
	for i := range l.Rungs {
		l.Rungs[i].Sentence = text
	}
	l.Rungs[1].Name = text
}

func TestThePageIsWellFormed(t *testing.T) {
	s := newStudio(t)
	var open []string
	for _, tag := range skeleton(s.page(s.night())) {
		name, _, _ := strings.Cut(tag, " ")
		switch {
		case slices.Contains(voidElements, name), strings.HasSuffix(tag, " /"):
		case name[0] != '/':
			open = append(open, name)
		case len(open) == 0 || open[len(open)-1] != name[1:]:
			t.Fatalf("<%s> closes nothing; open are %q", name, open)
		default:
			open = open[:len(open)-1]
		}
	}
	if len(open) > 0 {
		t.Errorf("never closed: %q", open)
	}
}

// TestTheOneScriptIsOurs: a browser runs what has the hash that the policy names.
func TestTheOneScriptIsOurs(t *testing.T) {
	s := newStudio(t)
	page := s.page(s.night())
	scripts := regexp.MustCompile(`(?s)<script>(.*?)</script>`).FindAllStringSubmatch(page, -1)
	if len(scripts) != 1 || strings.Count(page, "<script") != 1 {
		t.Fatalf("%d scripts, want 1", strings.Count(page, "<script"))
	}
	sum := sha256.Sum256([]byte(scripts[0][1]))
	policy := html.UnescapeString(regexp.MustCompile(`Content-Security-Policy" content="([^"]*)"`).FindStringSubmatch(page)[1])
	if want := "script-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "';"; !strings.Contains(policy, want) {
		t.Errorf("the policy %q has no %q", policy, want)
	}
	if quiet := s.page(nightOf(s.Made("A2", "x.jpg"))); strings.Contains(quiet, "<script") || !strings.Contains(html.UnescapeString(quiet), "script-src 'none'") {
		t.Error("a page of one print has a script, or leave for one")
	}
}

// TestAPrintCanBeLookedFor by size, stock, status and name; the form itself is
// there for those with a script alone.
func TestAPrintCanBeLookedFor(t *testing.T) {
	s := newStudio(t)
	page := s.page(s.night())
	after(t, page, `<details id="find" hidden>`,
		`<label for="by-name">`, `id="by-name"`,
		`<label for="by-size">`, `<option value="=40x60in">40x60in</option>`, `<option value="=A4">A4</option>`,
		`<label for="by-stock">`, `<option value="=">none named</option>`, `<option value="=lustre">lustre</option>`,
		`<label for="by-status">`, `<option value="=held">held</option>`, `<option value="=caution">ready with cautions</option>`, `<option value="=fault">went wrong</option>`)
	for _, keys := range []string{
		`data-name="heron.jpg" data-size="40x60in" data-stock="" data-status="held"`,
		`data-name="tide.tif" data-size="A2" data-stock="" data-status="fault"`,
		`data-name="creek.jpg" data-size="A4" data-stock="lustre" data-status="caution"`,
		`data-name="reeds.jpg" data-size="A4" data-stock="lustre" data-status="ready"`,
		`data-name="dawn (copy).jpg" data-size="24x36in" data-stock="" data-status="again"`,
	} {
		if strings.Count(page, keys) != 1 {
			t.Errorf("no order with %s", keys)
		}
	}
	if got := strings.Count(page, "data-status="); got != 8 {
		t.Errorf("%d orders to be found, want 8", got)
	}
}

// TestOnPaperThePageIsAWorkSheet: every print has its size, its file and boxes to
// tick. How it looks is for the browser's test.
func TestOnPaperThePageIsAWorkSheet(t *testing.T) {
	s := newStudio(t)
	page := plain(s.page(s.night()))
	after(t, page, "<i>Printed</i><i>Looked over</i><i>Trimmed</i>", `<span class="brief">914.4 × 609.6 mm (36 × 24 in), 12960 × 8640 px, outbox/24x36in/dawn.tif</span>`, `class="ticks"`, "<li></li>\n<li></li>\n<li></li>")
	if got := strings.Count(page, `class="ticks"`); got != 8 {
		t.Errorf("%d rows of boxes, want 8: repeats have none", got)
	}
}

func TestThePageNeedsNothingFromOutside(t *testing.T) {
	s := newStudio(t)
	page := s.page(s.night())
	for _, sign := range []string{"http:", "https:", "<link", "<iframe", "@import", "url("} {
		if strings.Contains(strings.ReplaceAll(page, `xmlns="http://www.w3.org/2000/svg"`, ""), sign) {
			t.Errorf("%s is in the page", sign)
		}
	}
	for _, tag := range skeleton(page) {
		if strings.Contains(tag, " on") { // an attribute onclick, onload, ...
			t.Errorf("a script in <%s>", tag)
		}
	}
	for _, m := range regexp.MustCompile(`src="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		beside, err := url.PathUnescape(m[1])
		s.Must(err)
		if _, err := os.Stat(filepath.Join(s.Root, "outbox/morning", beside)); err != nil && !strings.HasPrefix(m[1], "data:image/jpeg;base64,") {
			t.Errorf("a picture from elsewhere: %.60s", m[1])
		}
	}
	if strings.Contains(page, "ZgotmplZ") {
		t.Error("html/template refused a value")
	}
}

// TestEveryLinkOfThePageLeadsToAFile follows each link as a browser would.
func TestEveryLinkOfThePageLeadsToAFile(t *testing.T) {
	s := newStudio(t)
	n := s.night()
	n.Records = append(n.Records,
		s.Made("A2", `50% #1 "é".jpg`),
		s.Made("A3", "what? a & b + c;d='e'.jpg"),
		s.TooSmall("A1", "%2e%2e%2fx <1>.jpg"))
	s.Put("outbox/morning/2026-03-14.json", nil)
	s.Put("outbox/morning/index.html", nil)
	page := s.page(n)
	hrefs := regexp.MustCompile(`href="([^"]*)"`).FindAllStringSubmatch(page, -1)
	// Seven made or repeated with three links each, one of them with two views,
	// three held with two, the JSON and the index; four figures; one on the wall for each of nine whose size is
	// known, one in a list of prints for six, one to what is to be looked at; two cut-outs of
	// each of three places.
	if want := 7*3 + 2 + 3*2 + 2 + 4 + 9 + 6 + 1 + 6; len(hrefs) != want {
		t.Errorf("%d links, want %d", len(hrefs), want)
	}
	base := &url.URL{Scheme: "file", Path: filepath.Join(s.Root, "outbox/morning/latest.html")}
	for _, m := range hrefs {
		if id, within := strings.CutPrefix(m[1], "#"); within {
			if strings.Count(page, ` id="`+id+`"`) != 1 {
				t.Errorf("no one place for %s", m[1])
			}
			continue
		}
		ref, err := url.Parse(html.UnescapeString(m[1]))
		if err != nil {
			t.Errorf("%s: %v", m[1], err)
			continue
		}
		file := base.ResolveReference(ref)
		if info, err := os.Stat(file.Path); err != nil || !info.Mode().IsRegular() || file.RawQuery != "" || file.Fragment != "" {
			t.Errorf("%s leads to %s, where no file is", m[1], file)
		}
	}
}

// after fails unless the texts stand in the page in this order, each after
// the one before.
func after(t *testing.T, page string, texts ...string) {
	t.Helper()
	at := 0
	for _, text := range texts {
		i := strings.Index(page[at:], text)
		if i < 0 {
			t.Errorf("%q does not follow what should come before it", text)
			return
		}
		at += i + len(text)
	}
}

func TestWhatNeedsAPersonComesFirst(t *testing.T) {
	s := newStudio(t)
	after(t, s.page(s.night()),
		"Saturday 14 March 2026", "24 pictures were not made; four prints were made",
		`>3</b> prints ready<`, `>27</b> need you<`, `m²</b> to print; no paper is named<`, `<a href="#wrong"><b>1</b> went wrong<`, `class="hang"`,
		">What needs you<", ">Not made<", ">24x36<", "24 pictures in", "are waiting: the folder", "24x36in or 24x36cm", ">One picture is too small for 40x60in<", ">heron.jpg<", ">One picture is damaged<", ">gull.jpg<",
		">One print came without a profile<", ">creek.jpg<",
		">To print<", ">dawn.jpg<",
		">Every print<", ">24x36in<", ">dawn.jpg<", ">dawn (copy).jpg<", ">A3 matt<", ">samphire.jpg<", ">A4 lustre<", ">creek.jpg<", ">reeds.jpg<",
		">Left alone<", ">notes.txt<", ">Went wrong<", ">tide.tif<")
}

func TestReadyPrintsStandByFolderLargestFirst(t *testing.T) {
	s := newStudio(t)
	n := nightOf()
	for _, o := range [][2]string{{"A4", "b.jpg"}, {"A2", "c.jpg"}, {"24x36in", "d.jpg"}, {"A4", "A.jpg"}, {"A2 matt", "e.jpg"}} {
		n.Records = append(n.Records, s.Made(o[0], o[1]))
	}
	page := s.page(n)
	after(t, page, ">Nothing. Every print is ready.<", ">24x36in<", ">d.jpg<", ">A2<", ">c.jpg<", ">A2 matt<", ">e.jpg<", ">A4<", "two prints", ">A.jpg<", ">b.jpg<")
	if got := strings.Count(page, `class="folder"`); got != 4 {
		t.Errorf("%d folders, want 4", got)
	}
}

func TestEveryOrderIsShownOnce(t *testing.T) {
	s := newStudio(t)
	page := s.page(s.night())
	for _, name := range []string{"dawn.jpg", "reeds.jpg", "creek.jpg", "dawn (copy).jpg", "heron.jpg", "gull.jpg", "tide.tif", "samphire.jpg"} {
		if got := strings.Count(page, "<bdi>"+name+"</bdi>"); got != 1 {
			t.Errorf("%s is shown %d times", name, got)
		}
	}
}

func TestAPrintIsShownWithItsNumbers(t *testing.T) {
	s := newStudio(t)
	page := strings.ReplaceAll(s.page(s.night()), "\u00a0", " ")
	after(t, page,
		`alt="Preview of the print of dawn.jpg"`, ">dawn.jpg<", "914.4 × 609.6 mm (36 × 24 in)", "Carries it.",
		">Pixels<", "12960 × 8640 px", ">Resolution<", "173 ppi from the file at this size, printed at 360 ppi",
		">Scale<", "enlarged 2.1 times", ">Sharpening<", "before enlarging: 0.7 px, amount 0.5", "for the paper: ",
		">File<", ">Taken<", "10 March 2026, 06:12", "Heron Mark 2, 35 mm f/2, ISO 200",
		`href="../24x36in/dawn.tif" aria-label="TIFF of dawn.jpg"`)
	after(t, page, ">dawn (copy).jpg<", "already made, as dawn.tif")
}

func TestAHeldPictureIsShownWithItsReason(t *testing.T) {
	s := newStudio(t)
	n := s.night()
	page := strings.ReplaceAll(s.page(n), "\u00a0", " ")
	x := n.Records[4].Record.Plan.Refusal
	after(t, page, "Drop it into A3, or find a file with more pixels.", "1600 × 1067 px", ">heron.jpg<", "for 40x60in", "would carry "+x.Size, "Too small for 40x60in")
	after(t, page, ">To do:<", "Copy it again from the card.", "not read", ">gull.jpg<", "gull.jpg is cut short: the JPEG ends before its last line.")
	if got := strings.Count(page, "<img"); got != 4*4+1+2+6 {
		t.Errorf("%d pictures, want four for each of the four prints, one more for the one to look at, and of one two views and three pairs of cut-outs", got)
	}
}

func TestACropIsTold(t *testing.T) {
	s := newStudio(t)
	e := s.Made("A2", "reeds.jpg")
	e.Record.Plan.Crop.Width = 5883.5
	page := strings.ReplaceAll(s.page(nightOf(e)), "\u00a0", " ")
	after(t, page, ">Crop<", "5884 × 4160 of 6240 × 4160 px")

	e.Record.Plan.Crop.Width = 6239.8
	if page := s.page(nightOf(e)); strings.Contains(page, ">Crop<") {
		t.Error("a fifth of a pixel is told as a crop")
	}
}

func TestThePageDoesWithoutAPreview(t *testing.T) {
	s := newStudio(t)
	e := s.Made("A2", "reeds.jpg")
	s.Must(os.Remove(filepath.Join(s.Root, "outbox/A2/reeds.preview.jpg")))
	page := s.page(nightOf(e))
	if strings.Contains(page, "<img") {
		t.Error("a thumbnail of nothing")
	}
	after(t, page, "no preview", ">reeds.jpg<", "../A2/reeds.tif")
}

// TestARecordWithHolesIsStillShown: records come from disk, where anything may
// have happened to them.
// TestAHeldPictureIsItself on the page, in its own colours, and not a grey block.
func TestAHeldPictureIsItself(t *testing.T) {
	s := newStudio(t)
	held := s.TooSmall("A2", "heron.jpg")
	s.Preview(held.Record.Source.Original, 1600, 1067, false) // its upper left corner is (0, 120, 180)
	page := s.page(nightOf(held))
	after(t, page, `class="piece held"`, "data:image/jpeg", ">One picture is too small for A2<", `alt="heron.jpg, which was held"`)
	uri := regexp.MustCompile(`src="(data:[^"]*)" width="480" height="3[12]\d" alt="heron.jpg`).FindStringSubmatch(page)
	if uri == nil {
		t.Fatal("it is not shown with 480 px")
	}
	data, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(html.UnescapeString(uri[1]), "data:image/jpeg;base64,"))
	s.Must(err)
	img, err := jpeg.Decode(bytes.NewReader(data))
	s.Must(err)
	r, g, b, _ := img.At(3, 3).RGBA()
	if near := func(v uint32, want int) bool { return max(int(v>>8)-want, want-int(v>>8)) < 8 }; !near(r, 1) || !near(g, 120) || !near(b, 179) {
		t.Errorf("its corner is %d, %d, %d", r>>8, g>>8, b>>8)
	}
}

func TestARecordWithHolesIsStillShown(t *testing.T) {
	s := newStudio(t)
	n := nightOf()
	for _, status := range []record.Status{record.Ready, record.ReadyWithCautions, record.Held, ""} {
		name := "bare" + string(status) + ".jpg"
		n.Records = append(n.Records,
			record.Entry{Path: "outbox/A2/x.json", Record: record.Record{Status: status, Source: record.Source{Name: name}}},
			record.Entry{Path: "outbox/A2/x.json", Record: record.Record{Status: status, Print: &record.Print{}, RepeatOf: "x"}})
	}
	page := s.page(n)
	for _, e := range n.Records {
		if !strings.Contains(page, e.Record.Source.Name) {
			t.Errorf("%s is not shown", e.Record.Source.Name)
		}
	}
	if _, err := n.JSON(); err != nil {
		t.Error(err)
	}
}

func TestAnEmptyNightReadsWell(t *testing.T) {
	s := newStudio(t)
	page := s.page(&Night{Night: record.Night{Date: "2026-03-14", Started: studiotest.Evening, Finished: studiotest.Morning}})
	after(t, page, "Saturday 14 March 2026, between", "Nothing was waiting.")
	for _, heading := range []string{">What needs you<", ">To print<", ">Every print<", ">Left alone<"} {
		if strings.Contains(page, heading) {
			t.Errorf("%q stands over nothing", heading)
		}
	}
}

func TestTheSameNightMakesTheSamePage(t *testing.T) {
	s := newStudio(t)
	n := s.night()
	one, two := s.page(n), s.page(n)
	if one != two {
		t.Error("two pages of one night differ")
	}
	slices.Reverse(n.Records)
	if s.page(n) != one {
		t.Error("the page depends on the order of the records")
	}
}

func TestAPageStaysSmall(t *testing.T) {
	s := newStudio(t)
	n := nightOf()
	for _, name := range []string{"a.jpg", "b.jpg"} {
		e := s.Proofed("A2", name, photo.Caution{Code: "x", Text: "x"})
		for _, file := range []string{e.Record.Print.Preview, e.Record.Print.OnPaper, e.Record.Print.GamutMap} {
			s.Preview("outbox/A2/"+file, 480, 480, true) // noise: as large as JPEGs come
		}
		e.Record.Print.Crops = s.crops("A2", name, true)
		n.Records = append(n.Records, e)
	}
	page := s.page(n)
	limit := len(n.Records)*(printBytes+8<<10) + len(pageStyle) + len(pageLayout)
	if len(page) > limit {
		t.Errorf("%d bytes, want at most %d", len(page), limit)
	}
	if got := strings.Count(page, "data:image/jpeg"); got != 12*len(n.Records) {
		t.Errorf("%d pictures, want %d", got, 12*len(n.Records))
	}
}
