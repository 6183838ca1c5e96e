package order

import (
	"slices"
	"testing"

	"sizewright/internal/caption"
	"sizewright/internal/config"
	"sizewright/internal/sheet"
)

const sha = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"

// pixelKeys are the settings that make pixels or the form of the file.
var pixelKeys = []string{
	"ppi", "fit", "crop", "bits", "compression", "viewing_distance_mm", "acuity",
	"kernel", "enlarge", "surface", "pre_sharpening", "blur_px", "output_sharpening", "grain",
	"mode", "placement", "raise", "border", "border_mm", "border_bottom_mm", "outer_width_mm", "outer_height_mm", "overlap_mm",
	"bleed", "bleed_mm", "wrap_mm", "pack", "trim_marks", "caption_mm",
}

func TestEverySettingIsKnownToMakePixelsOrNot(t *testing.T) {
	for key := range settingsByKey(config.Settings{}) {
		n := 0
		for _, keys := range [][]string{pixelKeys, toldOnly, elsewhere} {
			if slices.Contains(keys, key) {
				n++
			}
		}
		if n != 1 {
			t.Errorf("%s stands in %d of the lists, want 1: does it make pixels?", key, n)
		}
	}
}

func decided(t *testing.T, folder string, change func(*Order)) *Decision {
	t.Helper()
	o, err := NewOrder(folder, config.Default())
	if err != nil {
		t.Fatal(err)
	}
	o.Caption = CaptionWords{Name: "marsh", Date: "2026-03-14"}
	if change != nil {
		change(&o)
	}
	return &Decision{Request: Request{Order: o}}
}

func TestAPrintIsAnotherOnlyIfItsPixelsAre(t *testing.T) {
	roll := func(name string, width float64) []sheet.Media {
		return []sheet.Media{{Name: name, Kind: sheet.Roll, WidthMM: width}}
	}
	set := func(f func(*config.Settings)) func(*Order) {
		return func(o *Order) { f(&o.Settings) }
	}
	base := func(o *Order) { o.Media = roll("roll24", 610); o.Settings.Caption = "{name} {date}" }
	for _, c := range []struct {
		name   string
		change func(*Order)
		same   bool
	}{
		{"nothing", func(*Order) {}, true},
		{"another price", set(func(s *config.Settings) { s.PricePerM2 = 24; s.Currency = "EUR" }), true},
		{"another caution level", set(func(s *config.Settings) { s.CautionPPI = 240; s.GamutCautionShare = 0.5 }), true},
		{"making what is too small", set(func(s *config.Settings) { s.TooSmall, s.MinimumPPI = config.TooSmallMake, 100 }), true},
		{"making it as large as it carries", set(func(s *config.Settings) { s.TooSmall = config.TooSmallLargest }), false},
		{"another day", func(o *Order) { o.Caption.Date = "2026-03-15" }, true},
		{"the roll called by another name", func(o *Order) { o.Media = roll("the wide one", 610) }, true},
		{"another roll", func(o *Order) { o.Media = roll("roll24", 914) }, false},
		{"another resolution", set(func(s *config.Settings) { s.PPI = 300 }), false},
		{"another crop of the whole picture", set(func(s *config.Settings) { s.Crop = "top" }), true},
		{"another crop", set(func(s *config.Settings) { s.Fit, s.Crop = config.FitFill, "top" }), false},
		{"another surface", set(func(s *config.Settings) { s.Surface = "matte" }), false},
		{"another compression", set(func(s *config.Settings) { s.Compression = "none" }), false},
		{"another caption", set(func(s *config.Settings) { s.Caption = "{name}" }), false},
		{"another font", func(o *Order) { o.Face = &caption.Face{SHA256: "60303ae2"} }, false},
		{"another name in the caption", func(o *Order) { o.Caption.Name = "creek" }, false},
	} {
		before, after := decided(t, "A2", base), decided(t, "A2", func(o *Order) { base(o); c.change(o) })
		if got := before.Identity(sha) == after.Identity(sha); got != c.same {
			t.Errorf("with %s it is the same print: %v, want %v", c.name, got, c.same)
		}
	}
	if decided(t, "A2", nil).Identity(sha) == decided(t, "A3", nil).Identity(sha) {
		t.Error("A2 and A3 are the same print")
	}
	if decided(t, "A2", nil).Identity(sha) == decided(t, "A2", nil).Identity("60303ae2") {
		t.Error("two photographs are the same print")
	}
}

// A bleed's name makes no pixels: under its new one it is the print that it was.
func TestARenamedBleedIsTheSamePrint(t *testing.T) {
	for now, former := range map[string]string{"reflect": "mirror", "replicate": "extend", "stretch": "stretch"} {
		s := config.Default().Print
		s.Bleed = now
		if got := pixelSettings(s)["bleed"]; got != former {
			t.Errorf("%s is %v in an identity, want %s", now, got, former)
		}
	}
}
