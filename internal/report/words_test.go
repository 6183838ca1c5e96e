package report

import (
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"sizewright/internal/colour"
	"sizewright/internal/record"
	"sizewright/internal/render"
	"sizewright/internal/sheet"
	"sizewright/internal/testkit/studiotest"
)

// plain is text with ordinary spaces.
func plain(text string) string { return strings.ReplaceAll(text, "\u00a0", " ") }

func TestTheEnglishCatalogueIsWhole(t *testing.T) {
	v := reflect.ValueOf(english)
	for i := range v.NumField() {
		if v.Field(i).IsZero() {
			t.Errorf("%s is not given", v.Type().Field(i).Name)
		}
	}
}

func TestTheNightIsToldInOneSentence(t *testing.T) {
	noon := time.Date(2026, 3, 14, 12, 5, 0, 0, studiotest.Evening.Location())
	tests := []struct {
		counts   record.Counts
		left     int
		from, to time.Time
		want     string
	}{
		{record.Counts{}, 0, studiotest.Evening, studiotest.Morning, "Nothing was waiting between Friday 23:10 and Saturday 04:32."},
		{record.Counts{}, 0, time.Time{}, time.Time{}, "Nothing was waiting."},
		{record.Counts{}, 2, noon, noon, "Nothing was made at 12:05; what was found was left alone."},
		{record.Counts{Ready: 1}, 0, noon, noon.Add(time.Minute), "One print was made between 12:05 and 12:06."},
		{record.Counts{Ready: 12}, 0, noon, noon, "Twelve prints were made at 12:05."},
		{record.Counts{Ready: 11, WithCautions: 2}, 0, noon, noon, "13 prints were made at 12:05, two of them with cautions."},
		{record.Counts{WithCautions: 1}, 0, noon, noon, "One print was made at 12:05, with cautions."},
		{record.Counts{WithCautions: 3}, 0, noon, noon, "Three prints were made at 12:05, all of them with cautions."},
		{record.Counts{Held: 1}, 0, noon, noon, "No print was made at 12:05; one picture was held."},
		{record.Counts{AlreadyMade: 2, Faults: 1}, 1, noon, noon, "No print was made at 12:05; two had been made before, one order met a fault and one thing was left alone."},
		{record.Counts{Ready: 7, WithCautions: 2, AlreadyMade: 1, Held: 2, Faults: 3}, 0, studiotest.Evening, studiotest.Morning, "Nine prints were made between Friday 23:10 and Saturday 04:32, two of them with cautions; two pictures were held, one had been made before and three orders met a fault."},
	}
	for _, test := range tests {
		if got := plain(english.Night(test.counts, test.left, test.from, test.to, sheet.Estimate{})); got != test.want {
			t.Errorf("%+v:\ngot  %s\nwant %s", test.counts, got, test.want)
		}
	}
}

func TestNumbersAreWrittenAsPeopleReadThem(t *testing.T) {
	tests := []struct{ got, want string }{
		{english.MM(609.6, 406.4), "609.6 × 406.4 mm (24 × 16 in)"},
		{english.MM(420.017, 593.96), "420 × 594 mm (16.5 × 23.4 in)"},
		{english.PX(12960, 8640), "12960 × 8640 px"},
		{english.PPI(173.3, 360), "173 ppi native, printed at 360 ppi"},
		{english.PPI(99.6, 304.8), "100 ppi native, printed at 304.8 ppi"},
		{english.Times(2.0769, false), "enlarged 2.1 times"},
		{english.Times(12.96, false), "enlarged 13 times"},
		{english.Times(123.4, false), "enlarged 123 times"},
		{english.Times(1.0417, false), "enlarged 1.04 times"},
		{english.Times(1, false), "at its own size"},
		{english.Times(0.42, false), "reduced 2.4 times"},
		{english.Times(0.98, false), "reduced 1.02 times"},
		{english.Times(1, true), "as it is, pixel for pixel"},
		{english.Mask(0, render.Sharpening{RadiusPX: 0.7, Amount: 0.5, Limit: 0.05}), "before enlarging: 0.7 px, amount 0.5, limited to 5 %"},
		{english.Mask(2, render.Sharpening{RadiusPX: 0.85, RadiusMM: 0.06, Amount: 0.6, Limit: 0.08}), "for the paper: 0.06 mm (0.85 px), amount 0.6, limited to 8 %"},
		{english.Largest("A3", 445, 297), "A3, or exactly 445 × 297 mm (17.5 × 11.7 in)"},
		{english.Largest("", 90, 60), "90 × 60 mm (3.5 × 2.4 in)"},
		{english.CroppedTo(5883.5, 4160, 6240, 4160), "5884 × 4160 of 6240 × 4160 px"},
	}
	for _, test := range tests {
		if plain(test.got) != test.want {
			t.Errorf("got %s, want %s", test.got, test.want)
		}
	}
}

func TestANumberStaysWithItsUnit(t *testing.T) {
	for got, want := range map[string]string{
		english.MM(609.6, 406.4): "609.6\u00a0×\u00a0406.4\u00a0mm (24\u00a0×\u00a016\u00a0in)",
		english.Sentence("1600 x 1067 px is 27 ppi there (seen from 2.7 m); it would carry 5 in", ""): "1600\u00a0×\u00a01067\u00a0px is 27\u00a0ppi there (seen from 2.7\u00a0m); it would carry 5\u00a0in.",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	if got, want := english.Beyond(&colour.Gamut{Beyond3: 0.042, Max: 9.8}), "4.2\u00a0% beyond 3 (CIEDE2000), worst\u00a09.8"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestSentencesAreSetWithoutTouchingAFileName(t *testing.T) {
	tests := []struct{ text, name, want string }{
		{"", "x.jpg", ""},
		{"no profile is embedded: sRGB was assumed", "marsh.jpg", "No profile is embedded: sRGB was assumed."},
		{"it is whole.", "marsh.jpg", "It is whole."},
		{"marsh.jpg is cut short", "marsh.jpg", "marsh.jpg is cut short."},
		{"2 x 3.jpg is 2 x 3 px", "2 x 3.jpg", "2 x 3.jpg is 2 × 3 px."},
		{"écluse is no size", "", "Écluse is no size."},
		{"\xff is no size", "", "\xff is no size."},
	}
	for _, test := range tests {
		if got := plain(english.Sentence(test.text, test.name)); got != test.want {
			t.Errorf("%q: got %q, want %q", test.text, got, test.want)
		}
	}
}

func TestColourIsToldInTheTradesWords(t *testing.T) {
	const paper = "2 x 3 mm Matt" // a name stays as it is
	space := func(name string, beyond1, beyond3, worst float64) colour.SpaceLoss {
		return colour.SpaceLoss{Space: name, Beyond1: beyond1, Beyond3: beyond3, Max: worst}
	}
	tests := []struct{ got, want string }{
		{english.Converted(paper, true, "relative", true), paper + ", relative colorimetric, black point compensated"},
		{english.Converted(paper, true, "absolute", false), paper + ", absolute colorimetric"},
		{english.Converted(paper, true, "perceptual", false), paper + ", perceptual"},
		{english.Converted(paper, true, "saturation", false), paper + ", saturation"},
		{english.Converted(paper, true, "vivid", false), paper},
		{english.Converted("sRGB (IEC 61966-2-1)", false, "", false), "sRGB (IEC 61966-2-1), not converted"},
		{english.Converted("", false, "", false), "a profile without a name, not converted"},
		{english.Stated("Display P3", "its cICP chunk"), "the picture\u2019s colours: Display P3, from its cICP chunk"},
		{english.Beyond(&colour.Gamut{Beyond3: 0.042, Max: 9.8}), "4.2 % beyond 3 (CIEDE2000), worst 9.8"},
		{english.Beyond(&colour.Gamut{Beyond3: 1, Max: 31}), "100.0 % beyond 3 (CIEDE2000), worst 31.0"},
		{english.Beyond(&colour.Gamut{Beyond3: 0.00003, Max: 3.1}), "less than 0.1 % beyond 3 (CIEDE2000), worst 3.1"},
		{english.Beyond(&colour.Gamut{Beyond3: 0, Max: 0.62}), "nothing beyond 3 (CIEDE2000), worst 0.6"},
		{
			english.Beyond(&colour.Gamut{Beyond3: 0.38, Max: 9.8, Blacks: colour.Shares{Beyond3: 0.3}, Seen: &colour.Shares{Beyond3: 0.04}}),
			"38.0 % beyond 3 (CIEDE2000), 30.0 % of the picture in depth alone, worst 9.8; in a print one sees 4.0 % beyond 3 and nothing beyond 6",
		},
		{
			english.Losses([]colour.SpaceLoss{space(colour.SRGB.Name, 0.09, 0.051, 12.04), space(colour.A98.Name, 0, 0, 0), space(colour.ROMM.Name, 0, 0, 0.7)}),
			"sRGB would lose 5.1 % beyond 3, worst 12.0; Adobe RGB (1998) compatible nothing; ROMM RGB nothing",
		},
		{
			english.Losses([]colour.SpaceLoss{space(colour.A98.Name, 0.013, 0, 2.2), space("2 x 3 mm", 0, 0, 0)}),
			"Adobe RGB (1998) compatible would lose 1.3 % beyond 1, worst 2.2; 2 x 3 mm nothing",
		},
	}
	for _, test := range tests {
		if plain(test.got) != test.want {
			t.Errorf("got %s, want %s", test.got, test.want)
		}
	}
}

func TestTheTakingIsToldAsFarAsItIsKnown(t *testing.T) {
	taken := time.Date(2026, 3, 10, 6, 12, 0, 0, time.UTC)
	tests := []struct {
		got, want []string
	}{
		{english.Taken(taken, "Heron Mark 2", "35 mm f/2", 200), []string{"Taken 10 March 2026, 06:12", "Heron Mark 2, 35 mm f/2, ISO 200"}},
		{english.Taken(time.Time{}, "", "", 400), []string{"ISO 400"}},
		{english.Taken(taken, "", "", 0), []string{"Taken 10 March 2026, 06:12"}},
		{english.Taken(time.Time{}, "", "", 0), nil},
	}
	for _, test := range tests {
		if !slices.Equal(test.got, test.want) {
			t.Errorf("got %q, want %q", test.got, test.want)
		}
	}
}

// 594 mm are 23.39 in.
func TestSizesAreGivenInTheUnitsAskedFor(t *testing.T) {
	for units, want := range map[string][2]string{
		"":          {"420 × 594 mm (16.5 × 23.4 in)", "A3, or exactly 420 × 594 mm (16.5 × 23.4 in)"},
		BothUnits:   {"420 × 594 mm (16.5 × 23.4 in)", "A3, or exactly 420 × 594 mm (16.5 × 23.4 in)"},
		Millimetres: {"420 × 594 mm", "A3, or exactly 420 × 594 mm"},
		Inches:      {"16.5 × 23.4 in", "A3, or exactly 16.5 × 23.4 in"},
	} {
		w := english.in(units)
		if got := plain(w.MM(420, 594)); got != want[0] {
			t.Errorf("%q: %s, want %s", units, got, want[0])
		}
		if got := plain(w.Largest("A3", 420, 594)); got != want[1] {
			t.Errorf("%q: %s, want %s", units, got, want[1])
		}
	}
	s := newStudio(t)
	n := s.night()
	n.Units = Inches
	if page := plain(s.page(n)); !strings.Contains(page, "36 × 24 in") || strings.Contains(page, "914.4 × 609.6 mm") {
		t.Error("the page is not in inches")
	}
}
