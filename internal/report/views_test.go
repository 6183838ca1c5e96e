package report

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// cardOf is the page's article on a picture, with ordinary spaces.
func cardOf(t *testing.T, page, name string) string {
	t.Helper()
	for _, article := range regexp.MustCompile(`(?s)<article.*?</article>`).FindAllString(page, -1) {
		if strings.Contains(article, "<bdi>"+name+"</bdi>") {
			return plain(article)
		}
	}
	t.Fatalf("the page has no card of %s", name)
	return ""
}

func TestAPrintForAStockWithAProfileTellsItsColour(t *testing.T) {
	s := newStudio(t)
	after(t, cardOf(t, s.page(s.night()), "samphire.jpg"),
		">Colour</summary>", ">Profile<", ">Marsh Matt, 7 inks, relative colorimetric, black point compensated<",
		">Gamut<", ">4.2 % beyond 3 (CIEDE2000), 0.6 % of the picture in depth alone, worst 9.8; in a print one sees 3.1 % beyond 3 and 1.1 % beyond 6<",
		">Deep yellow-green, 3.1 % of the picture, misses by 5.2 on average: it loses chroma (61 to 48).<",
		">Orange, 1.1 % of the picture,",
		">Working spaces<", ">sRGB would lose 5.1 % beyond 3, worst 12.0; Adobe RGB (1998) compatible nothing; ROMM RGB nothing<")
}

func TestAPrintForNoProfileTellsOnlyWhatItsNumbersMean(t *testing.T) {
	s := newStudio(t)
	card := cardOf(t, s.page(s.night()), "dawn.jpg")
	after(t, card, ">Colour<", ">sRGB (IEC 61966-2-1), not converted<")
	for _, sign := range []string{">Gamut<", ">Working spaces<", "Where the paper misses", "On the paper"} {
		if strings.Contains(card, sign) {
			t.Errorf("%s, of a print whose stock has no profile", sign)
		}
	}
}

// TestOtherViewsAreFoldedAway: the first look is at the picture; the proof on
// the paper's white and the map come when asked for, without a script.
func TestOtherViewsAreFoldedAway(t *testing.T) {
	s := newStudio(t)
	card := cardOf(t, s.page(s.night()), "samphire.jpg")
	after(t, card,
		`alt="Preview of the print of samphire.jpg"`,
		"<details>", ">On the paper’s own white</summary>", `alt="The print of samphire.jpg on the paper’s own white"`,
		`href="../A3%20matt/samphire.paper.jpg" aria-label="On the paper’s own white, Full size of samphire.jpg"`, "</details>",
		"<details>", ">Where the paper misses</summary>", `alt="Map of where the paper misses the colours of samphire.jpg, and by how much"`,
		"dark violet", `href="../A3%20matt/samphire.gamut.png"`, "</details>")
	if strings.Contains(card, "<details open") {
		t.Error("a view stands open")
	}
}

func TestAViewWhoseFileIsGoneSaysSo(t *testing.T) {
	s := newStudio(t)
	e := s.Proofed("A3 matt", "samphire.jpg")
	for _, file := range []string{"samphire.paper.jpg", "samphire.gamut.png"} {
		s.Must(os.Remove(filepath.Join(s.Root, "outbox/A3 matt", file)))
	}
	card := cardOf(t, s.page(nightOf(e)), "samphire.jpg")
	after(t, card, "On the paper’s own white</summary>", "no preview", "</details>", "Where the paper misses</summary>", "no preview", "</details>")
	if strings.Contains(card, "dark violet") {
		t.Error("how a map is read, under no map")
	}
	if strings.Count(card, "<img") != 2 { // the print's own, small and large
		t.Error("a picture of nothing")
	}
}

// TestACMYKPictureNobodyMeasuredHasAProofAndNoMap: without a profile its colours
// are a guess.
func TestACMYKPictureNobodyMeasuredHasAProofAndNoMap(t *testing.T) {
	s := newStudio(t)
	e := s.Proofed("A3 matt", "samphire.jpg")
	e.Record.Gamut, e.Record.Print.GamutMap = nil, ""
	n := nightOf(e)
	card := cardOf(t, s.page(n), "samphire.jpg")
	after(t, card, ">Colour<", "On the paper’s own white</summary>")
	if strings.Count(card, "<details") != 4 || strings.Contains(card, ">Gamut<") {
		t.Error("a map or numbers of what was not measured")
	}
	if err := reportSchema(t).Validate(reportOf(t, n)); err != nil {
		t.Error(err)
	}
}

// TestAViewNeverLeadsOutOfTheStudio: records come from disk, where anybody may
// have written them.
func TestAViewNeverLeadsOutOfTheStudio(t *testing.T) {
	s := newStudio(t)
	e := s.Proofed("A3 matt", "samphire.jpg")
	e.Record.Print.OnPaper, e.Record.Print.GamutMap = "../../../paper.jpg", "/etc/hostname"
	s.Preview("../paper.jpg", 96, 64, false)
	card := cardOf(t, s.page(nightOf(e)), "samphire.jpg")
	if strings.Contains(card, `/paper.jpg"`) || strings.Contains(card, `href="/`) {
		t.Error("a link leads out of the studio")
	}
	if strings.Count(card, "<img") != 2 { // the print's own, small and large
		t.Error("a picture from outside the studio")
	}
}
