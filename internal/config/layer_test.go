package config

import (
	"slices"
	"testing"

	"sizewright/internal/printsize"
)

const layered = `
[print]
ppi = 300
output_sharpening = 0.7

[stock."Soft  Matte"]
output_sharpening = 0.9
bits = 8

[folder."a4  Soft matte"]
bits = 16
fit = "fill"

[folder."24 x 36 in canvas"]
viewing_distance_mm = 2000

[folder.A2]
ppi = 720
`

func TestTheNearerWordCounts(t *testing.T) {
	c := mustParse(t, layered)
	tests := []struct {
		folder, stock string
		want          func(*Settings)
	}{
		{"A5", "", func(s *Settings) {}},
		{"A5 gloss", "gloss", func(s *Settings) {}},
		{"A5 soft matte", "soft matte", func(s *Settings) { s.OutputSharpening, s.Bits = 0.9, 8 }},
		{"A4 soft matte", "soft matte", func(s *Settings) { s.OutputSharpening, s.Bits, s.Fit = 0.9, 16, FitFill }},
		{"A4", "", func(s *Settings) {}},
		{"24x36in canvas", "canvas", func(s *Settings) { s.ViewingDistanceMM = 2000 }},
		{"24x36in", "", func(s *Settings) {}},
		{"A2", "", func(s *Settings) { s.PPI = 720 }},
		{"A2 lustre", "lustre", func(s *Settings) {}},

		// Any spelling, and the stock in the name or beside it.
		{"a4_SOFT_matte", "", func(s *Settings) { s.OutputSharpening, s.Bits, s.Fit = 0.9, 16, FitFill }},
		{"A4", "Soft Matte", func(s *Settings) { s.OutputSharpening, s.Bits, s.Fit = 0.9, 16, FitFill }},
		{"24×36″ Canvas", "", func(s *Settings) { s.ViewingDistanceMM = 2000 }},

		// Lying or standing, and in other units, it is the same print.
		{"36x24in canvas", "", func(s *Settings) { s.ViewingDistanceMM = 2000 }},
		{"914.4x609.6mm", "canvas", func(s *Settings) { s.ViewingDistanceMM = 2000 }},
		{"42x59.4cm", "", func(s *Settings) { s.PPI = 720 }},
		{"24x36cm canvas", "", func(s *Settings) {}},

		// No size, no word of its own.
		{"holiday", "", func(s *Settings) {}},
		{"", "soft matte", func(s *Settings) { s.OutputSharpening, s.Bits = 0.9, 8 }},
	}
	for _, test := range tests {
		want := Default().Print
		want.PPI, want.OutputSharpening = 300, 0.7
		test.want(&want)
		if got := c.Settings(test.folder, test.stock); got != want {
			t.Errorf("%q on %q is made with\n\t%+v, want\n\t%+v", test.folder, test.stock, got, want)
		}
	}
}

// A key that says the default says it: it is not mistaken for silence.
func TestSayingTheDefaultOverrides(t *testing.T) {
	c := mustParse(t, "[print]\nppi = 300\nminimum_ppi = 80\n[folder.A4]\nppi = 360\nminimum_ppi = 0\n")
	if got := c.Settings("A4", ""); got != Default().Print {
		t.Errorf("A4 is made with %+v", got)
	}
}

func TestOrderInTheFileDoesNotMatter(t *testing.T) {
	c := mustParse(t, "folder.'A4 rag'.bits = 8\nstock.rag = {bits = 16, ppi = 720}\nprint.ppi = 300\n")
	if got := c.Settings("A4 rag", "rag"); got.Bits != 8 || got.PPI != 720 {
		t.Errorf("A4 rag is made with %+v", got)
	}
}

func TestStocksTheFileSpeaksOf(t *testing.T) {
	c := mustParse(t, layered+"[stock.lustre]\n")
	if got := c.Stocks(); !slices.Equal(got, []string{"lustre", "soft matte"}) {
		t.Errorf("stocks %q", got)
	}
	if got := c.folderNames(); !slices.Equal(got, []string{"24x36in canvas", "A2", "A4 soft matte"}) {
		t.Errorf("folders %q", got)
	}
	for name, want := range map[string]bool{
		"lustre": true, "Soft  Matte": true, "SOFT_MATTE": true,
		"canvas": true, // only in a folder's name
		"lustr":  false, "": false, "a/b": false,
	} {
		if got := c.KnowsStock(name); got != want {
			t.Errorf("knows %q: %v", name, got)
		}
	}
	if got := Default().Stocks(); len(got) != 0 {
		t.Errorf("without a file there are stocks %q", got)
	}
}

func TestAFoldersNameMayGiveItsOwnResolution(t *testing.T) {
	c := mustParse(t, "[print]\nppi = 720\n[stock.rag]\nbits = 8\n[folder.\"A4 rag\"]\ngrain = 1\nppi = 180\n[folder.\"A4@300 rag\"]\npre_sharpening = 0\n")
	for folder, want := range map[string]func(*Settings){
		"A4":             func(s *Settings) {},
		"A5@300":         func(s *Settings) { s.PPI = 300 },
		"A4 rag":         func(s *Settings) { s.PPI, s.Bits, s.Grain = 180, 8, 1 },
		"A4 rag@240":     func(s *Settings) { s.PPI, s.Bits, s.Grain = 240, 8, 1 },
		"A4 rag 300 dpi": func(s *Settings) { s.PPI, s.Bits, s.Grain, s.PreSharpening = 300, 8, 1, 0 },
	} {
		expect := Default().Print
		expect.PPI = 720
		want(&expect)
		if got := c.Settings(folder, ""); got != expect {
			t.Errorf("%q is made with\n\t%+v, want\n\t%+v", folder, got, expect)
		}
	}
}

// Of a size with one side there is nothing to fill.
func TestALongSideAloneKeepsTheWholePicture(t *testing.T) {
	c := mustParse(t, "[print]\nfit = \"fill\"\n[folder.70x70cm]\nbits = 8\n")
	if s := c.Settings("70cm", ""); s.Fit != FitWhole || s.Bits != 16 {
		t.Errorf("70cm is made with %+v", s)
	}
	if s := c.Settings("70x70cm", ""); s.Fit != FitFill || s.Bits != 8 {
		t.Errorf("70x70cm is made with %+v", s)
	}
}

func mustFolder(t *testing.T, name string) printsize.Folder {
	t.Helper()
	f, err := printsize.ParseFolder(name)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// folderNames returns the canonical names of the drop folders that have a table of
// their own, sorted.
func (c *Config) folderNames() []string {
	names := make([]string, 0, len(c.folders))
	for _, l := range c.folders {
		names = append(names, l.folder)
	}
	slices.Sort(names)
	return names
}
