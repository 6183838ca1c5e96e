package config

import (
	"strings"
	"testing"

	"sizewright/internal/sheet"
)

const roll24 = "[media.roll24]\nkind = \"roll\"\nwidth_mm = 610\n"

func TestAStocksMediaAreFound(t *testing.T) {
	c := mustParse(t, roll24+"max_length_mm = 9000\n[media.a2]\nkind = \"sheet\"\nwidth_mm = 420\nlength_mm = 594\n"+
		"[media.a2.mode.fine]\nside = \"trailing\"\nextra_mm = 6\ntimes = 2\n[stock.lustre]\nmedia = [\"a2\", \"roll24\"]\n[stock.plain]\n")
	all := c.MediaOf(c.Settings("", "lustre"))
	if len(all) != 2 || all[0].Name != "a2" || all[1].Name != "roll24" {
		t.Fatalf("media %+v", all)
	}
	if all[0].Margins != sheet.UsualMargins(sheet.CutSheet) || all[1].Margins != sheet.UsualMargins(sheet.Roll) {
		t.Errorf("margins that were not given are %+v and %+v", all[0].Margins, all[1].Margins)
	}
	if m := all[0].Modes["fine"]; m.Side != sheet.Trailing || m.ExtraMM != 6 || c.ModeTimes()["fine"] != 2 {
		t.Errorf("the mode is %+v, %v times as long", m, c.ModeTimes()["fine"])
	}
	if none := c.MediaOf(c.Settings("", "plain")); len(none) != 0 {
		t.Errorf("a stock without media has %+v", none)
	}
}

func TestBadMediaAreToldWithTheirPlaceAndRemedy(t *testing.T) {
	for _, c := range []struct{ text, at, says string }{
		{"[media.x]\nkind = \"roll\"\nwidth_mm = 100\nmargin_left_mm = 60\nmargin_right_mm = 50\n", "1:2: media.x", "leaves nothing of a width"},
		{"[media.x]\nkind = \"roll\"\nwidth_mm = 100\nmargin_left_mm = -1\n", "4:1: media.x.margin_left_mm", "not a possible length"},
		{"[media.x]\nkind = \"sheet\"\nwidth_mm = 100\n", "1:2: media.x.length_mm", "not a possible length"},
		{"[media.x]\nkind = \"roll\"\nwidth_mm = 100\nlength_mm = 5\n", "4:1: media.x.length_mm", "a roll has no length"},
		{"[media.x]\nkind = \"reel\"\n", "2:1: media.x.kind", "sheet"},
		{"[media.x]\nkind = \"roll\"\nwidth = 100\n", "3:1: media.x.width", "width_mm"},
		{roll24 + "[media.roll24.mode.fine]\nside = \"back\"\n", "5:1: media.roll24.mode.fine.side", "trailing"},
		{roll24 + "[stock.a]\nmedia = \"roll42\"\n", "5:1: stock.a.media", `there are "roll24"`},
		{roll24 + "[stock.a]\nmedia = \"roll24\"\nmode = \"fine\"\n", "6:1: stock.a.mode", "no mode"},
		{roll24 + "[stock.a]\nmedia = \"roll24\"\nborder = \"even\"\n", "4:2: stock.a.border_mm", "not a possible length"},
		{roll24 + "[stock.a]\nmedia = \"roll24\"\nprice_per_m2 = 2\nprice_per_metre = 3\n", "stock.a.price_per_metre", "price_per_m2 and price_per_metre are given"},
		{roll24 + "[stock.a]\nmedia = \"roll24\"\nprice_per_m2 = 2\n[folder.\"A4 a\"]\nprice_per_metre = 3\n", "folder.\"A4 a\".price_per_metre", "one price"},
	} {
		_, err := Parse("sizewright.toml", []byte(c.text))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q is told %v, want something of %q", c.text, err, c.says)
			continue
		}
		if !strings.Contains(err.Error(), strings.TrimPrefix(c.at, "4:2: stock.a.border_mm")) && !strings.Contains(err.Error(), c.at) {
			t.Errorf("%q is told at\n%v\nwant at %s", c.text, err, c.at)
		}
	}
}
