package config

import (
	"strings"

	"sizewright/internal/sheet"
)

// paperKeys are the keys about paper, which stand among printKeys.
var paperKeys = []key[Settings]{
	newKey("media", func(s *Settings) *string { return &s.Media }, nameList(MediaSeparator),
		"The media that the stock comes as, each with a [media.NAME] of its own: one name, or several in brackets, of which the first that fits is used; with [] the TIFF holds only the picture."),
	newKey("mode", func(s *Settings) *string { return &s.Mode }, textLine(60),
		`The print mode, one of the media's; "" is none.`),
	newKey("placement", func(s *Settings) *string { return &s.Placement }, oneOf(string(sheet.OnSheet), string(sheet.OnPrintable)),
		`What a print is centred on: the "sheet", or its "printable" area.`),
	newKey("raise", func(s *Settings) *float64 { return &s.Raise }, number(0, 0.1, ""),
		"How far a print is raised above the middle, as a share of the free height, from 0 to 0.1."),
	newKey("border", func(s *Settings) *string { return &s.Border },
		oneOf(string(sheet.NoBorder), string(sheet.Even), string(sheet.BottomWeighted), string(sheet.Outer), string(sheet.Mat)),
		`The white around the picture: "none", "even", "bottom-weighted", to an "outer" size, or to the opening of a "mat".`),
	newKey("border_mm", func(s *Settings) *float64 { return &s.BorderMM }, number(0, 1000, "mm"),
		"The width of an even or bottom-weighted border, in millimetres."),
	newKey("border_bottom_mm", func(s *Settings) *float64 { return &s.BorderBottom }, number(0, 1000, "mm"),
		"The width of a bottom-weighted border below; 0 is a quarter more than the rest."),
	newKey("outer_width_mm", func(s *Settings) *float64 { return &s.OuterWidthMM }, number(0, 20_000, "mm"),
		"The outer width of the trimmed print, or of the mat's opening, in millimetres."),
	newKey("outer_height_mm", func(s *Settings) *float64 { return &s.OuterHeightMM }, number(0, 20_000, "mm"),
		"The same for its height."),
	newKey("overlap_mm", func(s *Settings) *float64 { return &s.OverlapMM }, number(0, 100, "mm"),
		"How much of each side lies behind the mat, in millimetres."),
	newKey("bleed", func(s *Settings) *string { return &s.Bleed }, oneOf(string(sheet.Reflect), string(sheet.Replicate), string(sheet.Stretch)),
		`How a bleed is made, so that none of the picture is trimmed off: "reflect" its edge, "replicate" its last row, or "stretch" its outermost strip.`),
	newKey("bleed_mm", func(s *Settings) *float64 { return &s.BleedMM }, number(0, 100, "mm"),
		"How far the print extends beyond the picture, to be trimmed off, in millimetres."),
	newKey("wrap_mm", func(s *Settings) *float64 { return &s.WrapMM }, number(0, 300, "mm"),
		"The depth of the reflected sides of a gallery wrap, in millimetres."),
	newKey("pack", func(s *Settings) *bool { return &s.Pack }, flag(),
		"true packs the night's prints for one roll onto the shortest length of it, with a cutting plan; each TIFF then holds only its print."),
	newKey("pack_file", func(s *Settings) *bool { return &s.PackFile }, flag(),
		"true also makes one TIFF of each packed run, beside the night's report, with every print in its place; only prints of one resolution, bit depth and profile share a run then."),
	newKey("may_turn", func(s *Settings) *bool { return &s.MayTurn }, flag(),
		"true lets a packed print be turned by a quarter to save paper; false keeps it as it is, for a paper with a grain."),
	newKey("gap_mm", func(s *Settings) *float64 { return &s.GapMM }, number(0, 200, "mm"),
		"The gap between two packed prints, in millimetres."),
	newKey("lane_mm", func(s *Settings) *float64 { return &s.LaneMM }, number(0, 200, "mm"),
		"The strip left free beside packed prints for trimming, in millimetres."),
	newKey("trim_marks", func(s *Settings) *bool { return &s.TrimMarks }, flag(),
		"true prints trim marks, and fold marks for a wrap."),
	newKey("caption", func(s *Settings) *string { return &s.Caption }, textLine(200),
		`A line below the picture, in which {name}, {title}, {artist}, {size}, {stock}, {date} and {edition} are filled in; invisible characters are left out, and letters that its font lacks, or that are joined as in Arabic, are boxes, with a caution; "" is none.`),
	newKey("caption_mm", func(s *Settings) *float64 { return &s.CaptionMM }, number(1, 50, "mm"),
		"The height of that line, in millimetres."),
	newKey("caption_font", func(s *Settings) *string { return &s.CaptionFont }, filePath(".ttf", ".otf"),
		`The font of that line (.ttf or .otf), by its path, absolute or from the studio's directory; "" is the built-in one, with Latin, Greek and Cyrillic letters.`),
	newKey("price_per_m2", func(s *Settings) *float64 { return &s.PricePerM2 }, number(0, 1e6, ""),
		"The price of a square metre of the paper; 0 is not known."),
	newKey("price_per_metre", func(s *Settings) *float64 { return &s.PricePerMetre }, number(0, 1e6, ""),
		"The price of a metre of the roll, in place of that."),
	newKey("price_per_sheet", func(s *Settings) *float64 { return &s.PricePerSheet }, number(0, 1e6, ""),
		"The price of a sheet, in place of that."),
	newKey("currency", func(s *Settings) *string { return &s.Currency }, textLine(8),
		"The currency of the price, as it is shown."),
	newKey("pace_m2_per_hour", func(s *Settings) *float64 { return &s.M2PerHour }, number(0, 1000, "m2 an hour"),
		"How much the printer prints in an hour, in square metres; 0 is not known."),
}

// paperPlaces finds the key of this file for one of package sheet's.
var paperPlaces = map[string]string{
	"raise_share": "raise", "border.kind": "border", "border.mm": "border_mm", "border.bottom_mm": "border_bottom_mm",
	"border.outer_width_mm": "outer_width_mm", "border.outer_height_mm": "outer_height_mm", "border.overlap_mm": "overlap_mm",
	"caption_height_mm": "caption_mm", "per_m2": "price_per_m2", "per_metre": "price_per_metre", "per_sheet": "price_per_sheet",
	"m2_per_hour": "pace_m2_per_hour",
}

// inKeys puts the keys of this file for those of package sheet into a sentence.
var inKeys = strings.NewReplacer("per_m2", "price_per_m2", "per_metre", "price_per_metre", "per_sheet", "price_per_sheet")

// Layout is how a print is to lie on its paper; the caption is not filled in.
func (s Settings) Layout() sheet.Options {
	return sheet.Options{
		Mode: s.Mode, Placement: sheet.Placement(s.Placement), RaiseShare: s.Raise,
		Border: sheet.Border{
			Kind: sheet.BorderKind(s.Border), MM: s.BorderMM, BottomMM: s.BorderBottom,
			OuterWidthMM: s.OuterWidthMM, OuterHeightMM: s.OuterHeightMM, OverlapMM: s.OverlapMM,
		},
		BleedMM: s.BleedMM, Bleed: sheet.BleedWay(s.Bleed), WrapMM: s.WrapMM,
		TrimMarks: s.TrimMarks, Caption: s.Caption, CaptionHeightMM: s.CaptionMM,
	}
}

// Rates are what the stock costs and how fast it prints; modeTimes is the
// configuration's.
func (s Settings) Rates(modeTimes map[string]float64) sheet.Rates {
	return sheet.Rates{
		PerM2: s.PricePerM2, PerMetre: s.PricePerMetre, PerSheet: s.PricePerSheet, Currency: s.Currency,
		M2PerHour: s.M2PerHour, ModeTimes: modeTimes,
	}
}

// ModeTimes is how many times as long each named print mode takes.
func (c *Config) ModeTimes() map[string]float64 { return c.modeTimes }
