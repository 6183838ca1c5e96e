package config

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"sizewright/internal/caption"
	"sizewright/internal/colour"
	"sizewright/internal/sheet"
)

// A finding is a setting that does nothing in a print, or that spoils its paper.
type finding struct {
	key    string
	text   string
	spoils bool // one print is enough to say so; else it must do nothing in all of them
}

type findings []finding

// idle adds a setting that does nothing where done is false.
func (f *findings) idle(key string, given, done bool, format string, args ...any) {
	if given && !done {
		*f = append(*f, finding{key, "it has no effect " + fmt.Sprintf(format, args...), false})
	}
}

func (f *findings) spoils(key, format string, args ...any) {
	*f = append(*f, finding{key, fmt.Sprintf(format, args...), true})
}

// findingsIn are those of the settings of one print, on its media.
func findingsIn(s Settings, media []sheet.Media) findings {
	var f findings
	f.withoutMedia(s, len(media) > 0)
	f.border(s)
	f.bleedAndPacking(s, media)
	f.idle("crop", s.Crop != Default().Print.Crop, s.Fit == FitFill, `with fit = "whole", which crops nothing: give fit = "fill", or take the line out`)
	f.caption(s)
	f.prices(s)
	f.colour(s)
	for _, m := range media {
		f.sheets(s, m)
	}
	return f
}

// withoutMedia finds what only shows on a sheet or a roll.
func (f *findings) withoutMedia(s Settings, media bool) {
	const why = `without media, for then the file is the picture alone: give media = ["NAME"] here or under [print], with a [media.NAME], or take the line out`
	for _, k := range []struct {
		key   string
		given bool
	}{
		{"mode", s.Mode != ""},
		{"placement", s.Placement != string(sheet.OnSheet)},
		{"raise", s.Raise > 0},
		{"border", s.Border != string(sheet.NoBorder)},
		{"bleed_mm", s.BleedMM > 0},
		{"wrap_mm", s.WrapMM > 0},
		{"pack", s.Pack},
		{"trim_marks", s.TrimMarks},
		{"caption", s.Caption != ""},
		{CaptionFontKey, s.CaptionFont != ""},
		{"price_per_m2", s.PricePerM2 > 0},
		{"price_per_metre", s.PricePerMetre > 0},
		{"price_per_sheet", s.PricePerSheet > 0},
		{"pace_m2_per_hour", s.M2PerHour > 0},
	} {
		f.idle(k.key, k.given, media, why)
	}
}

// border finds widths of another border than the one there is, and one without a width.
func (f *findings) border(s Settings) {
	kind := sheet.BorderKind(s.Border)
	wide, sized := kind == sheet.Even || kind == sheet.BottomWeighted, kind == sheet.Outer || kind == sheet.Mat
	f.idle("border_mm", s.BorderMM > 0, wide, `with border = %q: give border = "even" or "bottom-weighted", or take the line out`, s.Border)
	f.idle("border_bottom_mm", s.BorderBottom > 0, kind == sheet.BottomWeighted, `with border = %q: give border = "bottom-weighted", or take the line out`, s.Border)
	f.idle("outer_width_mm", s.OuterWidthMM > 0, sized, `with border = %q: give border = "outer" or "mat", or take the line out`, s.Border)
	f.idle("outer_height_mm", s.OuterHeightMM > 0, sized, `with border = %q: give border = "outer" or "mat", or take the line out`, s.Border)
	f.idle("overlap_mm", s.OverlapMM > 0, kind == sheet.Mat, `with border = %q: give border = "mat", or take the line out`, s.Border)
	switch {
	case wide && s.BorderMM == 0:
		f.spoils("border_mm", `border = %q has a width of 0 mm, which is no border: give border_mm, such as 20, or border = "none"`, s.Border)
	case sized && s.OuterWidthMM == 0:
		f.spoils("outer_width_mm", "border = %q needs %s: give outer_width_mm and outer_height_mm", s.Border, openingOf(kind))
	case sized && s.OuterHeightMM == 0:
		f.spoils("outer_height_mm", "border = %q needs %s: give outer_width_mm and outer_height_mm", s.Border, openingOf(kind))
	}
}

func openingOf(kind sheet.BorderKind) string {
	if kind == sheet.Mat {
		return "the mat's opening"
	}
	return "the outer size"
}

// bleedAndPacking finds what belongs to a bleed or a packed roll that is not there.
func (f *findings) bleedAndPacking(s Settings, media []sheet.Media) {
	usual := Default().Print
	f.idle("bleed", s.Bleed != usual.Bleed, s.BleedMM > 0 && s.WrapMM == 0, "%s", map[bool]string{
		true:  "with wrap_mm, since a wrap continues the picture in one way: take one of the two out",
		false: "without a bleed: give bleed_mm, or take the line out"}[s.WrapMM > 0])
	rolls := slices.ContainsFunc(media, func(m sheet.Media) bool { return m.Kind == sheet.Roll })
	f.idle("pack", s.Pack, rolls || len(media) == 0, "on sheets, since only a roll is packed: name a roll in media, or take the line out")
	for _, k := range []struct {
		key   string
		given bool
	}{
		{"gap_mm", s.GapMM != usual.GapMM}, {"lane_mm", s.LaneMM != usual.LaneMM}, {"may_turn", s.MayTurn != usual.MayTurn}, {"pack_file", s.PackFile},
	} {
		f.idle(k.key, k.given, s.Pack, "without pack = true: give it, or take the line out")
	}
}

// EditionPlace is where a caption shows the number of the edition.
const EditionPlace = "{edition}"

// placeholders are what a caption fills in.
var placeholders = []string{"name", "title", "artist", "size", "stock", "date", "edition"}

// inBraces is what a caption may be meant to fill in.
var inBraces = regexp.MustCompile(`\{([^{}]*)\}`)

// caption finds what would be printed as it stands.
func (f *findings) caption(s Settings) {
	f.idle(CaptionFontKey, s.CaptionFont != "", s.Caption != "", "without a caption: give one, or take the line out")
	f.idle("caption_mm", s.CaptionMM != Default().Print.CaptionMM, s.Caption != "", "without a caption: give one, or take the line out")
	numbered := strings.Contains(s.Caption, EditionPlace)
	f.idle("edition", s.Edition > 0, numbered, "without {edition} in the caption: put it there, or take the line out")
	if numbered && s.Edition == 0 {
		*f = append(*f, finding{"caption", "{edition} in it is left empty, since no edition is set: give edition, such as 25, or take {edition} out", false})
	}
	if missing := caption.BuiltIn.Missing(s.Caption); missing != "" && s.CaptionFont == "" {
		f.spoils("caption", "its face has no letters for %s, and boxes would be printed: write it in Latin, Greek or Cyrillic letters, or give a caption_font", missing)
	}
	for _, m := range inBraces.FindAllStringSubmatch(s.Caption, -1) {
		if slices.Contains(placeholders, m[1]) {
			continue
		}
		remedy := "there are {" + strings.Join(placeholders, "}, {") + "}"
		if meant := nearest(strings.ToLower(strings.TrimSpace(m[1])), placeholders); meant != "" {
			remedy = "did you mean {" + meant + "}?"
		}
		f.spoils("caption", "%s would be printed as it stands: %s", clipped(m[0]), remedy)
	}
}

// prices finds a second price of one paper.
func (f *findings) prices(s Settings) {
	var given []string
	for _, k := range []struct {
		key   string
		price float64
	}{
		{"price_per_m2", s.PricePerM2}, {"price_per_metre", s.PricePerMetre}, {"price_per_sheet", s.PricePerSheet},
	} {
		if k.price > 0 {
			given = append(given, k.key)
		}
	}
	if len(given) > 1 {
		f.spoils(given[1], "a paper has one price, and here are %s: keep one", strings.Join(given, " and "))
	}
}

// colour finds what belongs to a conversion, where colours stay as they are.
func (f *findings) colour(s Settings) {
	const why = "without a profile or working_space, for then the print keeps the picture's own colours: give one, or take the line out"
	usual, converted := Default().Print, s.Profile != "" || s.WorkingSpace != ""
	f.idle("intent", s.Intent != usual.Intent, converted, why)
	f.idle("black_point_compensation", !s.BlackPointCompensation && s.Intent != colour.Absolute, converted, why)
	f.idle("gamut_caution_delta_e", s.GamutCautionDeltaE != usual.GamutCautionDeltaE, converted, why)
	f.idle("gamut_caution_share", s.GamutCautionShare != usual.GamutCautionShare, converted, why)
	f.idle("blur_px", s.BlurPX > 0, s.PreSharpening > 0, "with pre_sharpening = 0: take one of the two out")
}

// sheets finds what package sheet has to say, where nothing is said of the key yet.
func (f *findings) sheets(s Settings, m sheet.Media) {
	for _, p := range slices.Concat(s.Layout().Problems(m), s.Rates(nil).Problems(m.Kind)) {
		key := cmp.Or(paperPlaces[p.Key], p.Key)
		if !slices.ContainsFunc(*f, func(said finding) bool { return said.key == key }) {
			f.spoils(key, "%s", inKeys.Replace(p.Text))
		}
	}
}
