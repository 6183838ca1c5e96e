package config

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
)

const sheetA2 = "[media.a2]\nkind = 'sheet'\nwidth_mm = 420\nlength_mm = 594\n"

// mistakesOf are the settings of a file that do nothing or spoil paper, with their lines.
func mistakesOf(t *testing.T, text string) (list []string) {
	t.Helper()
	for _, w := range mustParse(t, text).Warnings {
		if !w.Mistake {
			t.Errorf("%q is warned of %v, which is no mistake", text, w)
		}
		list = append(list, fmt.Sprintf("%d:%s: %s", w.Line, w.Key, w.Text))
	}
	return list
}

// A room that trusts its file must not find on the wall that a line of it did nothing.
func TestSettingsThatDoNothingAreMistakes(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string // each: line, key, and what it must say
	}{
		// Without media the file is the picture alone.
		{"[print]\nwrap_mm = 38", []string{"2:print.wrap_mm: it has no effect without media"}},
		{"[print]\ntrim_marks = true", []string{"2:print.trim_marks: it has no effect without media"}},
		{"[stock.a]\nborder = 'even'\nborder_mm = 20", []string{"2:stock.a.border: it has no effect without media"}},
		{"[print]\npack = true", []string{"2:print.pack: it has no effect without media"}},
		{"[print]\ncaption = '{name}'", []string{"2:print.caption: it has no effect without media"}},
		{"[print]\nmode = 'fine'", []string{"2:print.mode: it has no effect without media"}},
		{"[print]\nbleed_mm = 3\nplacement = 'printable'\nraise = 0.05", []string{"2:print.bleed_mm: ", "3:print.placement: ", "4:print.raise: "}},
		{"[stock.a]\nprice_per_m2 = 14\npace_m2_per_hour = 3", []string{"2:stock.a.price_per_m2: ", "3:stock.a.pace_m2_per_hour: "}},

		// Judged by each folder as it resolves: one with media is enough.
		{"[print]\nborder = 'even'\nborder_mm = 20\n" + roll24 + "[stock.a]\nmedia = 'roll24'", nil},
		{"[print]\nborder = 'even'\nborder_mm = 20\n" + roll24 + "[folder.\"A4 a\"]\nmedia = 'roll24'", nil},
		{"[stock.a]\nwrap_mm = 38\n" + roll24 + "[folder.\"A4 a\"]\nmedia = 'roll24'", nil},
		{"[stock.a]\nwrap_mm = 38\n" + roll24 + "[folder.\"A4 b\"]\nmedia = 'roll24'\n[stock.b]", []string{"2:stock.a.wrap_mm: it has no effect without media"}},
		{"[print]\nwrap_mm = 38\n" + roll24 + "[stock.a]\nmedia = 'roll24'\nwrap_mm = 0", []string{"2:print.wrap_mm: it has no effect without media"}},
		{"[print]\nmedia = 'roll24'\n" + roll24 + "[stock.a]\nmedia = []\ntrim_marks = true", []string{"8:stock.a.trim_marks: it has no effect without media"}},

		// Of another border, bleed, caption or colour than there is.
		{roll24 + "[print]\nmedia = 'roll24'\nborder_mm = 20", []string{`6:print.border_mm: it has no effect with border = "none": give border = "even"`}},
		{roll24 + "[print]\nmedia = 'roll24'\nborder = 'even'\nborder_mm = 20\nborder_bottom_mm = 30", []string{`8:print.border_bottom_mm: it has no effect with border = "even"`}},
		{roll24 + "[print]\nmedia = 'roll24'\noverlap_mm = 3\nouter_width_mm = 300\nouter_height_mm = 400", []string{"6:print.overlap_mm: ", "7:print.outer_width_mm: ", "8:print.outer_height_mm: "}},
		{sheetA2 + "[print]\nmedia = 'a2'\npack = true", []string{"7:print.pack: it has no effect on sheets"}},
		{roll24 + "[print]\nmedia = 'roll24'\ngap_mm = 8\nmay_turn = false", []string{"6:print.gap_mm: it has no effect without pack = true", "7:print.may_turn: "}},
		{roll24 + "[print]\nmedia = 'roll24'\ncaption_mm = 5", []string{"6:print.caption_mm: it has no effect without a caption"}},
		{"[print]\nintent = 'perceptual'", []string{"2:print.intent: it has no effect without a profile"}},
		{"[print]\nintent = 'perceptual'\n[stock.a]\nprofile = 'a.icc'", nil},
		{"[machines]\nca = 'ca.pem'", []string{"2:machines.ca: it has no effect without a server"}},
		{"[print]\nblur_px = 1\npre_sharpening = 0", []string{"2:print.blur_px: it has no effect with pre_sharpening = 0"}},
		{roll24, []string{"1:media.roll24: nothing names this media"}},
		{"[folder.'A4@300']\nppi = 360", []string{"2:folder.\"A4@300\".ppi: it has no effect, since the folder's own name says 300"}},
		{"[folder.70cm]\nfit = 'fill'", []string{"2:folder.70cm.fit: it has no effect, since 70cm is the long side alone"}},
		{"[stock.'rag x3']", []string{`1:stock."rag x3": stock "rag x3" reads as something else after a size: use other words`}},
		{"[stock.'table top']", []string{`1:stock."table top": stock "table top" reads as something else after a size`}},
		{"[print]\ncrop = 'top'", []string{`2:print.crop: it has no effect with fit = "whole"`}},
		{"[print]\ncrop = 'top'\n[folder.A4]\nfit = 'fill'", nil},
		{"[limits]\nmax_decode_mib = 6000", []string{"2:limits.max_decode_mib: it is not below max_memory_mib"}},
	} {
		haveMistakes(t, c.text, c.want)
	}
}

func TestSettingsThatSpoilPaperAreMistakes(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string
	}{
		{roll24 + "[print]\nmedia = 'roll24'\ncaption = '写真 {name}'", []string{"6:print.caption: its face has no letters for 写真"}},
		{roll24 + "[stock.a]\nmedia = 'roll24'\n[folder.\"A4 a\"]\nborder = 'even'", []string{`7:folder."A4 a".border: border = "even" has a width of 0 mm, which is no border: give border_mm`}},
		{"[print]\nborder = 'even'", []string{`2:print.border: border = "even" has a width of 0 mm`, "2:print.border: it has no effect without media"}},
		{roll24 + "[stock.a]\nmedia = 'roll24'\n[folder.\"A4 a\"]\nborder = 'mat'\nouter_width_mm = 300", []string{`7:folder."A4 a".border: border = "mat" needs the mat's opening: give outer_width_mm and outer_height_mm`}},
		{"[print]\nprice_per_m2 = 3\nprice_per_metre = 4\n" + roll24 + "[folder.A4]\nmedia = []\n[stock.a]", []string{
			"price_per_m2: it has no effect", "3:print.price_per_metre: a paper has one price, and here are price_per_m2 and price_per_metre: keep one", "price_per_metre: it has no effect", "4:media.roll24: "}},
		{"[media.narrow]\nkind = 'roll'\nwidth_mm = 24\n[print]\nmedia = 'narrow'", []string{"3:media.narrow.width_mm: a roll 24 mm wide is no paper: widths are in millimetres, and 24 in is 610 mm, 24 cm is 240 mm"}},
		{"[media.small]\nkind = 'sheet'\nwidth_mm = 13\nlength_mm = 19\n[print]\nmedia = 'small'", []string{"3:media.small.width_mm: a sheet 13 mm wide is no paper: widths are in millimetres, and 13 in is 330 mm"}},
		{roll24 + "[print]\nmedia = 'roll24'\ncaption = '{Name} {paper} {date}'", []string{"6:print.caption: \"{Name}\" would be printed as it stands: did you mean {name}?", "\"{paper}\" would be printed as it stands: there are {name}, {title}, {artist}, {size}, {stock}, {date}, {edition}"}},
		{roll24 + "[print]\nmedia = 'roll24'\ncaption = '{name} {title} {artist} {size} {stock} {date}'", nil},
		{roll24 + "[print]\nmedia = 'roll24'\ncaption = '{title}'\nedition = 25", []string{"7:print.edition: it has no effect without {edition} in the caption: put it there, or take the line out"}},
		{roll24 + "[print]\nmedia = 'roll24'\ncaption = '{title} {edition}'\n[folder.A2]\nedition = 25", nil},
		{roll24 + "[print]\nmedia = 'roll24'\ncaption = '{title} {edition}'", []string{"6:print.caption: {edition} in it is left empty, since no edition is set: give edition, such as 25, or take {edition} out"}},
		{roll24 + "[print]\nmedia = 'roll24'\nbleed_mm = 3\n[stock.a]\nborder = 'even'\nborder_mm = 9", []string{"6:print.bleed_mm: for [stock.a], a picture with a border needs no bleed"}},
		{"[stock.glossy]\n[stock.rag]\n[folder.\"A2 glosss\"]\nbits = 8", []string{`3:folder."A2 glosss": the file has no [stock.glosss]: did you mean "A2 glossy"? Else name the folder "A2", or add [stock.glosss]`}},
	} {
		haveMistakes(t, c.text, c.want)
	}
}

func haveMistakes(t *testing.T, text string, want []string) {
	t.Helper()
	got := mistakesOf(t, text)
	if len(got) != len(want) {
		t.Errorf("%q is told\n\t%s\nwant %d", text, strings.Join(got, "\n\t"), len(want))
		return
	}
	for i, w := range want {
		if !strings.Contains(got[i], w) {
			t.Errorf("%q is told\n\t%s\nwant %s", text, strings.Join(got, "\n\t"), w)
		}
	}
}

// A file of yesterday is used as yesterday.
func TestWhatDoesNothingKeepsNothingFromStarting(t *testing.T) {
	with := mustParse(t, "[print]\nbits = 8\nwrap_mm = 38\n")
	if want := Default().Print; with.Print.Bits != 8 || with.Print.WrapMM != 38 || reflect.DeepEqual(with.Print, want) {
		t.Errorf("prints are made with %+v", with.Print)
	}
}

func TestAStockThatNobodyKnowsIsAnsweredWithWhatToName(t *testing.T) {
	few := "[stock.glossy]\n[stock.lustre]\n[stock.\"soft matte\"]\n"
	for _, c := range []struct{ file, folder, want string }{
		{few, "A2 glosss", `did you mean "A2 glossy"? Else name the folder "A2", or add [stock.glosss]`},
		{few, "A2@300 lustr", `did you mean "A2@300 lustre"? Else name the folder "A2@300", or add [stock.lustr]`},
		{few, "A2 on lustre", `did you mean "A2 lustre"? Else name the folder "A2", or add [stock."on lustre"]`},
		{few, "A2 matte", `the stocks are glossy, lustre, soft matte; name the folder "A2", "A2 soft matte", or add [stock.matte]`},
		{few, "A6 plus", `the stocks are glossy, lustre, soft matte; name the folder "A6", "A6 glossy", or add [stock.plus]`},
		{few, "A6 landscape", `the picture decides which way round the print is, so name the folder "A6"`},
	} {
		f := mustFolder(t, c.folder)
		if got := mustParse(t, c.file).StockRemedy(f); got != c.want {
			t.Errorf("%q is told\n\t%s\nwant\n\t%s", c.folder, got, c.want)
		}
	}
}

// Forty-seven keys help nobody to find the one.
func TestAnUnknownKeyNamesTheNearest(t *testing.T) {
	for text, want := range map[string]string{
		"[print]\nborder_width = 3":    `border_mm`,
		"[print]\ncolour_profile = ''": `profile`,
		"[print]\nsharpening = 1":      `pre_sharpening`,
		"[limits]\nmegapixels = 3":     `max_megapixels`,
		"[print]\nxyzzy = 1":           ``,
	} {
		got := problemsOf(t, text)
		if !strings.Contains(got, want) || strings.Count(got, ",") > 2 {
			t.Errorf("%q is told %s, want %q among three", text, got, want)
		}
	}
}
