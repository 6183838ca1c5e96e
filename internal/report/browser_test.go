package report

import (
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"sizewright/internal/record"
)

func fileURL(path string) string { return (&url.URL{Scheme: "file", Path: path}).String() }

// opened is the test night's page on disk, and one that has names which hurt.
func (s *studioDir) opened() (page, index string) {
	s.Helper()
	n := s.night()
	n.Records = append(n.Records, s.Made("A2", `<img src=x onerror="console.error(1)"> é.jpg`), s.Made("A1", "Wattenmeer_"+string(slices.Repeat([]byte("W"), 200))+".jpg"))
	page, index = filepath.Join(s.Root, "outbox/morning/2026-03-14.html"), filepath.Join(s.Root, "outbox/morning/index.html")
	s.Put("outbox/morning/2026-03-14.html", []byte(s.page(n)))
	s.Put("outbox/morning/index.html", []byte(s.index([]record.Night{n.Night})))
	return page, index
}

// TestInABrowser looks at the pages in one and the same chromium.
func TestInABrowser(t *testing.T) {
	page, index := newStudio(t).opened()
	b := newBrowser(t)
	for _, claim := range []struct {
		name string
		test func(t *testing.T, b *browser, page, index string)
	}{
		{"the pages open from disk and fit", thePagesOpenFromDiskAndFit},
		{"prints are found", printsAreFound},
		{"without scripts only the form is missing", withoutScriptsOnlyTheFormIsMissing},
		{"a keyboard is enough", aKeyboardIsEnough},
		{"the printed page is a work sheet", thePrintedPageIsAWorkSheet},
		{"axe finds nothing", axeFindsNothing},
	} {
		t.Run(claim.name, func(t *testing.T) {
			b.TB = t
			b.screen(1280, 800, "light", "screen")
			claim.test(t, b, page, index)
		})
		b.TB = t
	}
}

// eager has every picture there at once, and counts those that do not show.
const eager = `Promise.all([...document.images].map(i => (i.loading = "eager", i.decode().then(() => 0, () => 1)))).then(a => a.reduce((x, y) => x + y, 0))`

const openAll = `document.querySelectorAll("details").forEach(d => d.open = true)`

func thePagesOpenFromDiskAndFit(t *testing.T, b *browser, page, index string) {
	for name, file := range map[string]string{"page": page, "index": index} {
		for _, width := range []int{320, 390, 768, 1280} {
			b.screen(width, 800, "light", "screen")
			b.visit(file)
			if over := b.wide(); over != "" {
				t.Errorf("%s at %d px, folded: %s", name, width, over)
			}
			b.eval(openAll, nil)
			if over := b.wide(); over != "" {
				t.Errorf("%s at %d px: %s", name, width, over)
			}
		}
		b.quiet()
		var broken int
		b.eval(eager, &broken)
		if broken > 0 {
			t.Errorf("%s: %d pictures do not show", name, broken)
		}
	}
}

func printsAreFound(t *testing.T, b *browser, page, _ string) {
	b.visit(page)
	const shown = `[...document.querySelectorAll("[data-status]")].filter(e => e.checkVisibility()).map(e => e.dataset.name.slice(0, 16))`
	choose := func(field, value string) string {
		return `(() => { const f = document.querySelector("#find form").elements["` + field + `"]; f.value = "` + value + `"; f.dispatchEvent(new Event("input", {bubbles: true})) })()`
	}
	const reset = `(document.querySelector("#find button").click(), new Promise(r => setTimeout(r, 20)))`
	for _, test := range []struct {
		script string
		want   []string
		status string
	}{
		{choose("size", "=A4"), []string{"gull.jpg", "creek.jpg", "reeds.jpg"}, "3 of 10 shown."},
		{choose("status", "=held"), []string{"gull.jpg"}, "1 of 10 shown."},
		{reset, nil, ""},
		{choose("stock", "=matt"), []string{"samphire.jpg"}, "1 of 10 shown."},
		{reset, nil, ""},
		{choose("status", "=fault"), []string{"tide.tif"}, "1 of 10 shown."},
		{reset, nil, ""},
		{choose("name", " DÁWN"), []string{"dawn.jpg", "dawn (copy).jpg"}, "2 of 10 shown."},
		{choose("name", "e\\u0301.jpg"), []string{"<img src=x onerr", "samphire.jpg"}, "2 of 10 shown."},
		{choose("name", "nowhere"), []string{}, "0 of 10 shown."},
		{reset, nil, ""},
	} {
		b.eval(test.script, nil)
		var got []string
		b.eval(shown, &got)
		if test.want == nil && len(got) != 10 || test.want != nil && !slices.Equal(got, test.want) {
			t.Errorf("%s:\nshows %q\nwant  %q", test.script, got, test.want)
		}
		var status string
		b.eval(`document.getElementById("shown").textContent`, &status)
		if status != test.status {
			t.Errorf("%s: it says %q, want %q", test.script, status, test.status)
		}
	}
	b.eval(choose("status", "=held"), nil)
	var headings []string
	b.eval(`[...document.querySelectorAll("h2, .folder > h3")].filter(e => e.checkVisibility()).map(e => e.textContent)`, &headings)
	if want := []string{"What needs you", "To print", "Left alone"}; !slices.Equal(headings, want) {
		t.Errorf("headings %q, want %q", headings, want)
	}
	b.quiet()
}

func withoutScriptsOnlyTheFormIsMissing(t *testing.T, b *browser, page, index string) {
	b.call("Emulation.setScriptExecutionDisabled", map[string]any{"value": true}, nil)
	b.visit(page)
	b.call("Emulation.setScriptExecutionDisabled", map[string]any{"value": false}, nil)
	var got struct {
		Orders int
		Form   bool
	}
	b.eval(`({orders: [...document.querySelectorAll("[data-status]")].filter(e => e.checkVisibility()).length, form: document.getElementById("find").checkVisibility()})`, &got)
	if got.Orders != 10 || got.Form {
		t.Errorf("%d orders and a form (%v), want 10 and none", got.Orders, got.Form)
	}
}

// aKeyboardIsEnough to find a print: Tab to the form, Enter to
// unfold it, Tab to the name, and type.
func aKeyboardIsEnough(t *testing.T, b *browser, page, index string) {
	b.visit(page)
	tabTo := func(selector string) {
		t.Helper()
		for range 20 {
			var there bool
			if b.eval(`document.activeElement.matches("`+selector+`")`, &there); there {
				return
			}
			b.press("Tab", 9)
		}
		t.Fatalf("Tab does not lead to %s", selector)
	}
	tabTo("#find summary")
	b.press("Enter", 13)
	tabTo("#by-name")
	b.call("Input.insertText", map[string]any{"text": "reeds"}, nil)
	var status string
	if b.eval(`document.getElementById("shown").textContent`, &status); status != "1 of 10 shown." {
		t.Errorf("it says %q", status)
	}
	var outline string
	if b.eval(`getComputedStyle(document.activeElement).outlineStyle`, &outline); outline != "solid" {
		t.Errorf("where the keyboard is does not show: outline %s", outline)
	}
}

func thePrintedPageIsAWorkSheet(t *testing.T, b *browser, page, index string) {
	b.screen(794, 1123, "dark", "print") // A4 at 96 px to the inch
	b.visit(page)
	var got struct{ Ticks, Briefs, Screen int }
	b.eval(`(() => { const seen = q => [...document.querySelectorAll(q)].filter(e => e.checkVisibility()).length;
		return {ticks: seen(".ticks"), briefs: seen(".brief"), screen: seen("#find, nav, .links, dl, article details, footer")} })()`, &got)
	if got.Ticks != 10 || got.Briefs != 6 || got.Screen != 0 {
		t.Errorf("%+v, want boxes for 10, the sizes of 6, and nothing that is for screens", got)
	}
	var ground string
	if b.eval(`getComputedStyle(document.body).backgroundColor`, &ground); ground != "rgb(255, 255, 255)" {
		t.Errorf("paper is not dark at night: %s", ground)
	}
	if over := b.wide(); over != "" {
		t.Error(over)
	}
	b.shot("print")
}

// axeFindsNothing runs axe-core (Deque, MPL 2.0) over the
// pages with everything unfolded, in light and dark, wide and narrow.
func axeFindsNothing(t *testing.T, b *browser, page, index string) {
	for name, file := range map[string]string{"page": page, "index": index} {
		for _, scheme := range []string{"light", "dark"} {
			for _, width := range []int{390, 1280} {
				b.screen(width, 900, scheme, "screen")
				b.visit(file)
				b.eval(openAll, nil)
				b.shot(name + "-" + scheme + "-" + map[bool]string{true: "phone", false: "wide"}[width < 600])
				b.axe(t, fmt.Sprintf("%s, %s, %d px", name, scheme, width))
			}
		}
	}
}

// axe fails on whatever axe-core finds in the page that is open.
func (b *browser) axe(t *testing.T, where string) {
	t.Helper()
	axe, err := os.ReadFile("../../scripts/axe/node_modules/axe-core/axe.min.js")
	needed(t, "axe-core (npm ci in scripts/axe)", err)
	b.eval(string(axe)+"; true", nil)
	var found struct {
		Passes     int
		Violations []struct {
			ID, Impact, Help string
			Nodes            []string
		}
	}
	b.eval(`axe.run().then(r => ({passes: r.passes.length, violations: r.violations.map(v => ({id: v.id, impact: v.impact, help: v.help, nodes: v.nodes.slice(0, 3).map(n => n.html.slice(0, 200) + " " + n.failureSummary)}))}))`, &found)
	if found.Passes < 10 {
		t.Errorf("%s: axe looked at next to nothing: %d rules passed", where, found.Passes)
	}
	for _, v := range found.Violations {
		t.Errorf("%s: %s, %s: %s\n%q", where, v.Impact, v.ID, v.Help, v.Nodes)
	}
}
