package printsize

import (
	"strings"
	"testing"
)

func TestAFolderIsItsSizeAndPerhapsItsStock(t *testing.T) {
	tests := []struct {
		folder string
		want   Size
		stock  string
	}{
		{"A2", mm("A2", 420, 594), ""},
		{"A4 lustre", mm("A4", 210, 297), "lustre"},
		{"24x36in", mm("24x36in", 609.6, 914.4), ""},
		{"60x40in canvas", mm("60x40in", 1524, 1016), "canvas"},
		{"50x70cm", mm("50x70cm", 500, 700), ""},
		{"610x914mm", mm("610x914mm", 610, 914), ""},
		{"1x1.5m", mm("1x1.5m", 1000, 1500), ""},
		{"24.5x36.25in", mm("24.5x36.25in", 622.3, 920.75), ""},
		{"A3+ matte", mm("A3+", 329, 483), "matte"},

		// Spelling.
		{"a4  Lustre", mm("A4", 210, 297), "lustre"},
		{" b3 ", mm("B3", 353, 500), ""},
		{"A 4", mm("A4", 210, 297), ""},
		{"a3+matte", mm("A3+", 329, 483), "matte"},
		{"24 x 36 in", mm("24x36in", 609.6, 914.4), ""},
		{"24X36IN", mm("24x36in", 609.6, 914.4), ""},
		{"24×36\"", mm("24x36in", 609.6, 914.4), ""},
		{"24″ × 36″ lustre", mm("24x36in", 609.6, 914.4), "lustre"},
		{"24x36 inches lustre", mm("24x36in", 609.6, 914.4), "lustre"},
		{"24in x 36in", mm("24x36in", 609.6, 914.4), ""},
		{"24\" x 36 inch", mm("24x36in", 609.6, 914.4), ""},
		{"24x36 in lustre", mm("24x36in", 609.6, 914.4), "lustre"},
		{"24\u00a0x\u00a036\u202fin  lustre", mm("24x36in", 609.6, 914.4), "lustre"},
		{"29,7x42cm", mm("29.7x42cm", 297, 420), ""},
		{"024.50x036.00in", mm("24.5x36in", 622.3, 914.4), ""},

		// The trade's names.
		{"DIN A3", mm("A3", 297, 420), ""},
		{"din-a3 rag", mm("A3", 297, 420), "rag"},
		{"ISO A 4", mm("A4", 210, 297), ""},
		{"Letter", mm("Letter", 215.9, 279.4), ""},
		{"US Letter rag", mm("Letter", 215.9, 279.4), "rag"},
		{"legal", mm("Legal", 215.9, 355.6), ""},
		{"Ledger", mm("Tabloid", 279.4, 431.8), ""},
		{"ANSI C", mm("ANSI C", 431.8, 558.8), ""},
		{"Super B", mm("Super B", 330.2, 482.6), ""},
		{"super b matte", mm("Super B", 330.2, 482.6), "matte"},
		{"A3 plus", mm("A3+", 329, 483), ""},
		{"A3 + matte", mm("A3+", 329, 483), "matte"},
		{"A6 plus", mm("A6", 105, 148), "plus"}, // which no stock is called; see package order
		{"JIS B4", mm("JIS B4", 257, 364), ""},
		{"B4 JIS rag", mm("JIS B4", 257, 364), "rag"},

		// Other forms.
		{"2ft x 3ft", mm("2x3ft", 609.6, 914.4), ""},
		{"2' x 3′", mm("2x3ft", 609.6, 914.4), ""},
		{"2ft 6in x 3ft", mm("30x36in", 762, 914.4), ""},
		{"2'6\" x 3'4\" rag", mm("30x40in", 762, 1016), "rag"},
		{"40 by 60 in", mm("40x60in", 1016, 1524), ""},
		{"40by60in", mm("40x60in", 1016, 1524), ""},
		{"40*60 in", mm("40x60in", 1016, 1524), ""},
		{"40 ✕ 60 ''", mm("40x60in", 1016, 1524), ""},
		{"8½ x 11 in", mm("8.5x11in", 215.9, 279.4), ""},
		{"square 30cm", mm("30x30cm", 300, 300), ""},
		{"30cm square rag", mm("30x30cm", 300, 300), "rag"},
		{"24in x 90cm", mm("609.6x900mm", 609.6, 900), ""},
		{"70cm", Size{"70cm", 700, 700, true}, ""},
		{"long side 70 cm", Size{"70cm", 700, 700, true}, ""},
		{"70cm long rag", Size{"70cm", 700, 700, true}, "rag"},
		{"30″ canvas", Size{"30in", 762, 762, true}, "canvas"},
		{"30 x 30 cm square", mm("30x30cm", 300, 300), "square"}, // a stock may be called so
		{"24 in. x 36 in. rag", mm("24x36in", 609.6, 914.4), "rag"},
		{"５０ｘ７０ｃｍ", mm("50x70cm", 500, 700), ""},
		{"50х70cm", mm("50x70cm", 500, 700), ""}, // with Cyrillic's x
		{"40x60in by hand", mm("40x60in", 1016, 1524), "by hand"},
		{"Arch D", mm("24x36in", 609.6, 914.4), ""},
		{"US-Letter", mm("Letter", 215.9, 279.4), ""},
		{"super-b-rag", mm("Super B", 330.2, 482.6), "rag"},
		{"4R", mm("4x6in", 101.6, 152.4), ""},
		{"20x30 centimetres", mm("20x30cm", 200, 300), ""},

		// Stocks.
		{"A4-lustre", mm("A4", 210, 297), "lustre"},
		{"A4 - Soft Matte", mm("A4", 210, 297), "soft matte"},
		{"A4_soft_matte", mm("A4", 210, 297), "soft matte"},
		{"24x36in-cotton-rag 310", mm("24x36in", 609.6, 914.4), "cotton-rag 310"},
		{"50x70cm B\u00fctten", mm("50x70cm", 500, 700), "b\u00fctten"},
		{"50x70cm Bu\u0308tten", mm("50x70cm", 500, 700), "b\u00fctten"}, // accents taken apart
		{"24x36cm in", mm("24x36cm", 240, 360), "in"},
		{"A1 0", mm("A1", 594, 841), "0"},
		{"A4, soft matte", mm("A4", 210, 297), "soft matte"},
	}
	for _, test := range tests {
		size, stock, err := Parse(test.folder)
		if err != nil || size != test.want || stock != test.stock {
			t.Errorf("%q is %+v on %q (%v), want %+v on %q", test.folder, size, stock, err, test.want, test.stock)
		}
	}
}

func TestAFoldersNameMayGiveItsResolution(t *testing.T) {
	for name, want := range map[string]string{
		"24x36in@300": "24x36in@300", "24x36in @ 300 ppi": "24x36in@300", "24x36in 300ppi": "24x36in@300",
		"24x36in at 300 dpi canvas": "24x36in@300 canvas", "A4 rag@240": "A4@240 rag", "A4@359,5-rag": "A4@359.5 rag",
		"A4 rag 300 dpi": "A4@300 rag", "A4 at 240 rag": "A4@240 rag", "70cm@200": "70cm@200",
	} {
		f, err := ParseFolder(name)
		if err != nil || f.Name() != want {
			t.Errorf("%q is %q (%v), want %q", name, f.Name(), err, want)
		}
		meansItself(t, name, f)
	}
}

// Each name that is offered is taken, and for what was meant.
func TestWhatIsOfferedIsTaken(t *testing.T) {
	offered := 0
	for _, w := range []string{"4", "8", "10", "24", "36.5", "70", "210", "1000"} {
		for _, h := range []string{"6", "10", "36", "59,4", "297", "3000"} {
			for _, form := range []string{"WxH", "W x H rag", "WinxH", "WxH@300", "W H in", "W", "square W", "W cm wide", "Wx2ft x3", "rag WxHmm", "3x WxHcm", "W-Hcm rag"} {
				name := strings.NewReplacer("W", w, "H", h).Replace(form)
				offered += len(offersMeanWhatTheySay(t, name))
			}
		}
	}
	if offered < 500 {
		t.Errorf("only %d names were offered", offered)
	}
}

func TestOneSizeInTwoUnitsIsOneSize(t *testing.T) {
	for _, names := range [][2]string{
		{"610x914mm", "61x91.4cm"}, {"1100x1300mm", "1.1x1.3m"}, {"254x508mm", "10x20in"},
		{"622.3x920.75mm", "24.5x36.25in"}, {"29.7x42cm", "297x420mm"},
	} {
		a, b := mustParse(t, names[0]), mustParse(t, names[1])
		if a.WidthMM != b.WidthMM || a.HeightMM != b.HeightMM {
			t.Errorf("%+v is not %+v", a, b)
		}
	}
}

func TestAFolderThatIsNoSizeIsToldWhatWouldDo(t *testing.T) {
	const whatDoes = ` is not a size: name it like A2, 24x36in, 50x70cm or 610x914mm, with a stock after it if you like (A2 lustre)`
	const limits = `: sides go from 10 mm to 20 m`
	tests := []struct{ folder, want string }{
		{"holiday", `drop folder "holiday"` + whatDoes},
		{"", `drop folder ""` + whatDoes},
		{"\xff", `drop folder "\xff"` + whatDoes},
		{"24x36x48in", `drop folder "24x36x48in"` + whatDoes},

		// No unit, or not one.
		{"24x36", `drop folder "24x36" has no unit: say which: 24x36in or 24x36cm`},
		{"24x36 indigo", `drop folder "24x36 indigo" has no unit: say which: 24x36in indigo or 24x36cm indigo`},
		{"8x10", `drop folder "8x10" has no unit: say which: 8x10in or 8x10cm`},
		{"8x10@300 rag", `drop folder "8x10@300 rag" has no unit: say which: 8x10in@300 rag or 8x10cm@300 rag`},
		{"1x1.5", `drop folder "1x1.5" has no unit: say which: 1x1.5m`},
		{"0x0", `drop folder "0x0" has no unit: add in, ft, cm, mm or m`},
		{"70", `drop folder "70" is one number: for a print of that long side write 70in, 70cm or 70mm; else both sides with their unit, such as 24x36in`},
		{"square 30", `drop folder "square 30" has no unit: say which: 30x30in or 30x30cm`},
		{"2000x3000", `drop folder "2000x3000" has no unit: say which: 2000x3000mm`},
		{"24in x 36 rag", `drop folder "24in x 36 rag" has a unit on one side only: write 24x36in rag`},

		// Near misses.
		{"A12", `drop folder "A12" is not a size: ISO 216 has A0 to A10; for another size give two sides and their unit, such as 50x70cm`},
		{"B11 rag", `drop folder "B11 rag" is not a size: ISO 216 has B0 to B10; for another size give two sides and their unit, such as 50x70cm`},
		{"C4", `drop folder "C4" is not a size: ISO 216 has A and B sizes; C sizes are envelopes, so give two sides and their unit, such as 229x324mm`},
		{"a4lustre", `drop folder "a4lustre" is not a size: put a space before the stock: A4 lustre`},
		{"soft matte A4", `drop folder "soft matte A4" is not a size: put the size first: A4 soft matte`},

		{"A2+", `drop folder "A2+" is not a size: of sizes with a + there is A3+ alone; for another give two sides and their unit, such as 432x610mm`},
		{"24 36in", `drop folder "24 36in" is not a size: put an x between the sides: 24x36in`},
		{"rag 24x36in@300", `drop folder "rag 24x36in@300" is not a size: put the size first: 24x36in@300 rag`},
		{"70cm wide", `drop folder "70cm wide" gives one side that is not the long one: for the long side write 70cm; else both sides, such as 50x70cm`},
		{"12 in progress", `drop folder "12 in progress" is not clearly a size: for a print of that long side write 12in progress`},
		{"2024 wedding", `drop folder "2024 wedding"` + whatDoes},

		// Copies and resolutions.
		{"3 copies of A4", `drop folder "3 copies of A4" is not a size: put the copies at the end: A4 x3`},
		{"3 x A4 rag", `drop folder "3 x A4 rag" is not a size: put the copies at the end: A4 rag x3`},
		{"A4 x1000", `drop folder "A4 x1000" asks for copies in a way that is not understood: write x1 to x999 once, at the end`},
		{"A4 x0", `drop folder "A4 x0" asks for copies in a way that is not understood: write x1 to x999 once, at the end`},
		{"A4 x2 rag x3", `drop folder "A4 x2 rag x3" asks for copies in a way that is not understood: write x1 to x999 once, at the end`},
		{"A4@", `drop folder "A4@" has "@" and no resolution after it: write it once after the size, such as 24x36in@300, in pixels per inch`},
		{"A4@30", `drop folder "A4@30" has a resolution of 30: give one from 72 to 2880 pixels per inch`},
		{"A4@300 240dpi", `drop folder "A4@300 240dpi" has two resolutions: write it once after the size, such as 24x36in@300, in pixels per inch`},

		// Limits and numbers that are none.
		{"0x10cm", `drop folder "0x10cm" has a side of 0 cm` + limits},
		{"9.9x20mm", `drop folder "9.9x20mm" has a side of 9.9 mm` + limits},
		{"1x20.1m", `drop folder "1x20.1m" has a side of 20.1 m` + limits},
		{"1,000x1,500mm", `drop folder "1,000x1,500mm" has a side of 1 mm` + limits},
		{"99999999999999999999x1m", `drop folder "99999999999999999999x1m" has a side of 1000000000 m` + limits},
		{"24.12345x36in", `drop folder "24.12345x36in" is finer than a printer: write at most four decimals`},
		{"-24x36in", `drop folder "-24x36in"` + whatDoes},
		{"1e3x2e3mm", `drop folder "1e3x2e3mm"` + whatDoes},
		{"nanxnanmm", `drop folder "nanxnanmm"` + whatDoes},
		{"infxinfmm", `drop folder "infxinfmm"` + whatDoes},
		{"24.x36in", `drop folder "24.x36in"` + whatDoes},

		// Stocks that cannot be looked up.
		{"A4 -", `drop folder "A4 -" has no stock's name: write one such as lustre`},
		{"A4 rag-", `drop folder "A4 rag-" has a stock's name with a dash at its end: name it A4 rag`},
		{"A4 soft/matte", `drop folder "A4 soft/matte" has a stock's name with '/' in it: name it A4 soft matte`},
		{"A4@300 (rag)", `drop folder "A4@300 (rag)" has a stock's name with '(' in it: name it A4@300 rag`},
		{"A4 " + strings.Repeat("a", 65), `drop folder "A4 ` + strings.Repeat("a", 65) + `" has a stock's name of 65 bytes: keep it to 64`},
	}
	for _, test := range tests {
		size, stock, err := Parse(test.folder)
		if err == nil {
			t.Errorf("%q is %+v on %q", test.folder, size, stock)
		} else if err.Error() != test.want {
			t.Errorf("%q is told\n\t%v\nwant\n\t%s", test.folder, err, test.want)
		}
	}
}

func TestTheLimitsThemselvesAreSizes(t *testing.T) {
	for _, name := range []string{"10x10mm", "20x20m", "1x2000cm"} {
		mustParse(t, name)
	}
}

func TestASizeAloneHasNoStock(t *testing.T) {
	for name, want := range map[string]string{
		"A4 lustre": `size "A4 lustre" has more after it: give A4 alone`,
		"holiday":   `size "holiday" is not a size: ` + whatWouldDo,
	} {
		if _, err := ParseSize(name); err == nil || err.Error() != want {
			t.Errorf("%q is told %v, want %s", name, err, want)
		}
	}
}

func TestStocksOfOneNameAreOneStock(t *testing.T) {
	for _, name := range []string{"Soft Matte", " soft  matte ", "SOFT\u00a0MATTE", "soft_matte"} {
		if stock, err := ParseStock(name); err != nil || stock != "soft matte" {
			t.Errorf("%q is %q (%v)", name, stock, err)
		}
	}
	for name, want := range map[string]string{
		"":     `stock "" is no stock's name: write one such as lustre`,
		"-rag": `stock "-rag" is a stock's name with a dash at its end: write rag`,
		"a\n/": `stock "a\n/" is a stock's name with '/' in it: use letters, digits, spaces and dashes`,
	} {
		if _, err := ParseStock(name); err == nil || err.Error() != want {
			t.Errorf("%q is told %v, want %s", name, err, want)
		}
	}
}

func TestAVeryLongNameIsNotShownWhole(t *testing.T) {
	_, _, err := Parse(strings.Repeat("holiday ", 100_000))
	if err == nil || len(err.Error()) > 400 {
		t.Errorf("an error of %d bytes", len(err.Error()))
	}
}

func TestAFoldersNameAsksForCopies(t *testing.T) {
	for name, want := range map[string]string{
		"A4 lustre x3": "A4 lustre x3", "A2 \u00d73 lustre": "A2 lustre x3", "A4x3": "A4 x3", "24x36in x 2": "24x36in x2", "70cm x3": "70cm x3",
		"A4@300 10 copies": "A4@300 x10", "A4 - rag, 3x": "A4 rag x3", "A4 x1": "A4 x1", "24x36in": "24x36in",
	} {
		f, err := ParseFolder(name)
		if err != nil || f.Name() != want {
			t.Errorf("%q is %q (%v), want %q", name, f.Name(), err, want)
		}
		if again, err := ParseFolder(f.Name()); err != nil || again != f {
			t.Errorf("%q is read back as %+v (%v), want %+v", f.Name(), again, err, f)
		}
	}
}
