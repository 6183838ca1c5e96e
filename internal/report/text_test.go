package report

import (
	"slices"
	"strings"
	"testing"
	"time"

	"sizewright/internal/colour"
	"sizewright/internal/order"
	"sizewright/internal/record"
	"sizewright/internal/render"
	"sizewright/internal/testkit/studiotest"
)

// plain is text with ordinary spaces.
func plain(text string) string { return strings.ReplaceAll(text, "\u00a0", " ") }

// nightWith is a night that came to this.
func nightWith(c record.Counts, left int) *Night {
	n := &Night{}
	add := func(count int, r record.Record) {
		n.Records = append(n.Records, slices.Repeat([]record.Entry{{Record: r}}, count)...)
	}
	add(c.Ready, record.Record{Status: record.Ready})
	add(c.WithCautions, record.Record{Status: record.ReadyWithCautions})
	add(c.AlreadyMade, record.Record{Status: record.Ready, RepeatOf: "outbox/A2/first.json"})
	add(c.Held, record.Record{Status: record.Held})
	n.Faults, n.Left = make([]record.Fault, c.Faults), make([]record.Left, left)
	return n
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
		n := nightWith(test.counts, test.left)
		n.Started, n.Finished = test.from, test.to
		if got := plain(n.Sentence()); got != test.want {
			t.Errorf("%+v:\ngot  %s\nwant %s", test.counts, got, test.want)
		}
	}
}

func TestNumbersAreWrittenAsPeopleReadThem(t *testing.T) {
	tests := []struct{ got, want string }{
		{sides(BothUnits, 609.6, 406.4), "609.6 × 406.4 mm (24 × 16 in)"},
		{sides(BothUnits, 420.017, 593.96), "420 × 594 mm (16.5 × 23.4 in)"},
		{pixels(12960, 8640), "12960 × 8640 px"},
		{resolutions(order.Resolution{NativePPI: 173.3}, 360)[0], "173 ppi from the file at this size, printed at 360 ppi"},
		{resolutions(order.Resolution{NativePPI: 99.6}, 304.8)[0], "100 ppi from the file at this size, printed at 304.8 ppi"},
		{scaled(2.0769, false), "enlarged 2.1 times"},
		{scaled(12.96, false), "enlarged 13 times"},
		{scaled(123.4, false), "enlarged 123 times"},
		{scaled(1.0417, false), "enlarged 1.04 times"},
		{scaled(1, false), "at its own size"},
		{scaled(0.42, false), "reduced 2.4 times"},
		{scaled(0.98, false), "reduced 1.02 times"},
		{scaled(0.9996, false), "at its own size"},
		{scaled(1.004, false), "at its own size"},
		{scaled(1.006, false), "enlarged 1.01 times"},
		{scaled(1, true), "as it is, pixel for pixel"},
		{mask("before enlarging", order.Sharpening{Sharpening: render.Sharpening{RadiusPX: 0.7, Amount: 0.5, Limit: 0.05}}), "before enlarging: 0.7 px, amount 0.5, limited to 5 %"},
		{mask("for the paper", order.Sharpening{RadiusMM: 0.06, Sharpening: render.Sharpening{RadiusPX: 0.85, Amount: 0.6, Limit: 0.08}}), "for the paper: 0.06 mm (0.85 px), amount 0.6, limited to 8 %"},
	}
	for _, test := range tests {
		if plain(test.got) != test.want {
			t.Errorf("got %s, want %s", test.got, test.want)
		}
	}
}

func TestANumberStaysWithItsUnit(t *testing.T) {
	for got, want := range map[string]string{
		sides(BothUnits, 609.6, 406.4): "609.6\u00a0×\u00a0406.4\u00a0mm (24\u00a0×\u00a016\u00a0in)",
		sentence("1600 x 1067 px is 27 ppi there (seen from 2.7 m); it would carry 5 in", ""): "1600\u00a0×\u00a01067\u00a0px is 27\u00a0ppi there (seen from 2.7\u00a0m); it would carry 5\u00a0in.",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	if got, want := beyond(&colour.Gamut{Shares: colour.Shares{Beyond3: 0.042}, Max: 9.8}), "4.2\u00a0% beyond 3 (CIEDE2000), worst\u00a09.8"; got != want {
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
		if got := plain(sentence(test.text, test.name)); got != test.want {
			t.Errorf("%q: got %q, want %q", test.text, got, test.want)
		}
	}
}

func TestColourIsToldInTheTradesWords(t *testing.T) {
	const paper = "2 x 3 mm Matt" // a name stays as it is
	space := func(name string, beyond1, beyond3, worst float64) colour.SpaceLoss {
		return colour.SpaceLoss{Space: name, Shares: colour.Shares{Beyond1: beyond1, Beyond3: beyond3}, Max: worst}
	}
	tests := []struct{ got, want string }{
		{converted(paper, true, "relative", true), paper + ", relative colorimetric, black point compensated"},
		{converted(paper, true, "absolute", false), paper + ", absolute colorimetric"},
		{converted(paper, true, "perceptual", false), paper + ", perceptual"},
		{converted(paper, true, "saturation", false), paper + ", saturation"},
		{converted(paper, true, "vivid", false), paper},
		{converted("sRGB (IEC 61966-2-1)", false, "", false), "sRGB (IEC 61966-2-1), not converted"},
		{converted("", false, "", false), "a profile without a name, not converted"},
		{beyond(&colour.Gamut{Shares: colour.Shares{Beyond3: 0.042}, Max: 9.8}), "4.2 % beyond 3 (CIEDE2000), worst 9.8"},
		{beyond(&colour.Gamut{Shares: colour.Shares{Beyond3: 1}, Max: 31}), "100.0 % beyond 3 (CIEDE2000), worst 31.0"},
		{beyond(&colour.Gamut{Shares: colour.Shares{Beyond3: 0.00003}, Max: 3.1}), "less than 0.1 % beyond 3 (CIEDE2000), worst 3.1"},
		{beyond(&colour.Gamut{Shares: colour.Shares{Beyond3: 0}, Max: 0.62}), "nothing beyond 3 (CIEDE2000), worst 0.6"},
		{
			beyond(&colour.Gamut{Shares: colour.Shares{Beyond3: 0.38}, Max: 9.8, Blacks: colour.Shares{Beyond3: 0.3}, Seen: &colour.Shares{Beyond3: 0.04}}),
			"38.0 % beyond 3 (CIEDE2000), 30.0 % of the picture in depth alone, worst 9.8; in a print one sees 4.0 % beyond 3 and nothing beyond 6",
		},
		{
			losses([]colour.SpaceLoss{space(colour.SRGB.Name, 0.09, 0.051, 12.04), space(colour.A98.Name, 0, 0, 0), space(colour.ROMM.Name, 0, 0, 0.7)}),
			"sRGB would lose 5.1 % beyond 3, worst 12.0; Adobe RGB (1998) compatible nothing; ROMM RGB nothing",
		},
		{
			losses([]colour.SpaceLoss{space(colour.A98.Name, 0.013, 0, 2.2), space("2 x 3 mm", 0, 0, 0)}),
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
	tests := []struct {
		taken record.Camera
		want  []string
	}{
		{record.Camera{Taken: "2026:03:10 06:12:00", Make: "Heron", Model: "Heron Mark 2", Lens: "35 mm f/2", ISO: 200}, []string{"10 March 2026, 06:12", "Heron Mark 2, 35 mm f/2, ISO 200"}},
		{record.Camera{Taken: "yesterday", Make: "Heron", Model: "Mark 2"}, []string{"Heron Mark 2"}},
		{record.Camera{ISO: 400}, []string{"ISO 400"}},
		{record.Camera{Taken: "2026:03:10 06:12:00"}, []string{"10 March 2026, 06:12"}},
		{record.Camera{}, nil},
	}
	for _, test := range tests {
		if got := caption(test.taken); !slices.Equal(got, test.want) {
			t.Errorf("got %q, want %q", got, test.want)
		}
	}
}

// 594 mm are 23.39 in.
func TestSizesAreGivenInTheUnitsAskedFor(t *testing.T) {
	for units, want := range map[string]string{
		"":          "420 × 594 mm (16.5 × 23.4 in)",
		BothUnits:   "420 × 594 mm (16.5 × 23.4 in)",
		Millimetres: "420 × 594 mm",
		Inches:      "16.5 × 23.4 in",
	} {
		if got := plain(sides(units, 420, 594)); got != want {
			t.Errorf("%q: %s, want %s", units, got, want)
		}
	}
	s := newStudio(t)
	n := s.night()
	n.Units = Inches
	if page := plain(s.page(n)); !strings.Contains(page, "36 × 24 in") || strings.Contains(page, "914.4 × 609.6 mm") {
		t.Error("the page is not in inches")
	}
}
