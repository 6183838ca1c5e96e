package config

import (
	"slices"
	"testing"
)

// The nearer of a profile and a working space counts, and the other is put
// aside: a print is converted to one space.
func TestAPrintIsConvertedToOneSpace(t *testing.T) {
	const rag, lustre = "[stock.rag]\n", "[folder.'A4 rag']\n"
	tests := []struct {
		text           string
		profile, space string // of A4 rag
	}{
		{"[print]\nprofile = 'p.icc'", "p.icc", ""},
		{"[print]\nprofile = 'p.icc'\n" + rag + "working_space = 'a98'", "", "a98"},
		{"[print]\nworking_space = 'a98'\n" + rag + "profile = 'r.icc'", "r.icc", ""},
		{"[print]\nworking_space = 'a98'\n" + lustre + "profile = 'f.icc'", "f.icc", ""},
		{rag + "profile = 'r.icc'\n" + lustre + "working_space = 'srgb'", "", "srgb"},
		{"[print]\nprofile = 'p.icc'\n" + rag + "working_space = 'a98'\n" + lustre + "profile = 'f.icc'", "f.icc", ""},

		// "" is no space: it takes one back, and puts none aside.
		{"[print]\nprofile = 'p.icc'\n" + rag + "profile = ''", "", ""},
		{"[print]\nprofile = 'p.icc'\n" + rag + "working_space = ''", "p.icc", ""},
		{"[print]\nworking_space = 'a98'\n" + rag + "profile = ''", "", "a98"},
		{"[print]\nprofile = 'p.icc'\n" + rag + "profile = ''\nworking_space = 'a98'", "", "a98"},

		// What was put aside stays there.
		{"[print]\nworking_space = 'a98'\n" + rag + "profile = 'r.icc'\n" + lustre + "profile = ''", "", ""},
	}
	for _, test := range tests {
		s := mustParse(t, test.text).Settings("A4 rag", "")
		if s.Profile != test.profile || s.WorkingSpace != test.space {
			t.Errorf("%q converts to %q and %q, want %q and %q", test.text, s.Profile, s.WorkingSpace, test.profile, test.space)
		}
	}
}

// The absolute intent keeps black as measured; going back to another intent
// brings back what was said of black.
func TestAbsoluteKeepsTheBlackPoint(t *testing.T) {
	tests := []struct {
		text string
		want bool // on rag
	}{
		{"", true},
		{"[print]\nintent = 'absolute'", false},
		{"[print]\nblack_point_compensation = true\n[stock.rag]\nintent = 'absolute'", false},
		{"[print]\nintent = 'absolute'\n[stock.rag]\nblack_point_compensation = true", false},
		{"[print]\nintent = 'absolute'\nblack_point_compensation = false\n[stock.rag]\nintent = 'relative'", false},
		{"[print]\nintent = 'absolute'\n[stock.rag]\nintent = 'relative'", true},
	}
	for _, test := range tests {
		if got := mustParse(t, test.text).Settings("", "rag").BlackPointCompensation; got != test.want {
			t.Errorf("%q compensates: %v", test.text, got)
		}
	}
}

func TestEveryNamedFileIsListedWithItsPlace(t *testing.T) {
	c := mustParse(t, `# ink and paper
[stock.Lustre]
bits = 8
  profile = "profiles/lustre.icc"
[stock.rag]
profile = ""
[stock.canvas]
working_space = "a98"
[folder]
"A4 lustre" = {bits = 16, profile = "/srv/a4.icm"}
[print]
profile = "profiles/lustre.icc"
caption_font = "serif.otf"
caption = "No. {edition}"
`)
	want := []NamedFile{
		{"profile", "profiles/lustre.icc", "stock.Lustre", 4, 3, ""},
		{"profile", "/srv/a4.icm", `folder."A4 lustre"`, 10, 27, ""},
		{"profile", "profiles/lustre.icc", "print", 12, 1, ""},
		{"caption_font", "serif.otf", "print", 13, 1, "No. "},
	}
	got := c.FilesNamed()
	if !slices.Equal(got, want) {
		t.Fatalf("got\n%+v, want\n%+v", got, want)
	}
	got[0].Path = "spoilt"
	if again := c.FilesNamed(); !slices.Equal(again, want) {
		t.Error("the list is not the caller's own")
	}
	if none := Default().FilesNamed(); len(none) != 0 {
		t.Errorf("without a file there are profiles %+v", none)
	}
}

func TestAProfilesFaultIsToldAtItsPlace(t *testing.T) {
	n := mustParse(t, "[folder.\"A4 lustre\"]\nprofile = \"a4.icc\"\n").FilesNamed()[0]
	got := n.Problem("sizewright.toml", "a4.icc is missing: put it into the studio").Error()
	want := `sizewright.toml:2:1: folder."A4 lustre".profile: a4.icc is missing: put it into the studio`
	if got != want {
		t.Errorf("told %s, want %s", got, want)
	}
}
