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
		{"A2", Size{"A2", 420, 594}, ""},
		{"A4 lustre", Size{"A4", 210, 297}, "lustre"},
		{"24x36in", Size{"24x36in", 609.6, 914.4}, ""},
		{"60x40in canvas", Size{"60x40in", 1524, 1016}, "canvas"},
		{"50x70cm", Size{"50x70cm", 500, 700}, ""},
		{"610x914mm", Size{"610x914mm", 610, 914}, ""},
		{"1x1.5m", Size{"1x1.5m", 1000, 1500}, ""},
		{"24.5x36.25in", Size{"24.5x36.25in", 622.3, 920.75}, ""},
		{"A3+ matte", Size{"A3+", 329, 483}, "matte"},

		// Spelling.
		{"a4  Lustre", Size{"A4", 210, 297}, "lustre"},
		{" b3 ", Size{"B3", 353, 500}, ""},
		{"A 4", Size{"A4", 210, 297}, ""},
		{"a3+matte", Size{"A3+", 329, 483}, "matte"},
		{"24 x 36 in", Size{"24x36in", 609.6, 914.4}, ""},
		{"24X36IN", Size{"24x36in", 609.6, 914.4}, ""},
		{"24×36\"", Size{"24x36in", 609.6, 914.4}, ""},
		{"24″ × 36″ lustre", Size{"24x36in", 609.6, 914.4}, "lustre"},
		{"24x36 inches lustre", Size{"24x36in", 609.6, 914.4}, "lustre"},
		{"24in x 36in", Size{"24x36in", 609.6, 914.4}, ""},
		{"24\" x 36 inch", Size{"24x36in", 609.6, 914.4}, ""},
		{"24x36 in lustre", Size{"24x36in", 609.6, 914.4}, "lustre"},
		{"24\u00a0x\u00a036\u202fin  lustre", Size{"24x36in", 609.6, 914.4}, "lustre"},
		{"29,7x42cm", Size{"29.7x42cm", 297, 420}, ""},
		{"024.50x036.00in", Size{"24.5x36in", 622.3, 914.4}, ""},

		// Stocks.
		{"A4-lustre", Size{"A4", 210, 297}, "lustre"},
		{"A4 - Soft Matte", Size{"A4", 210, 297}, "soft matte"},
		{"A4_soft_matte", Size{"A4", 210, 297}, "soft matte"},
		{"24x36in-cotton-rag 310", Size{"24x36in", 609.6, 914.4}, "cotton-rag 310"},
		{"50x70cm B\u00fctten", Size{"50x70cm", 500, 700}, "b\u00fctten"},
		{"50x70cm Bu\u0308tten", Size{"50x70cm", 500, 700}, "b\u00fctten"}, // accents taken apart
		{"24x36cm in", Size{"24x36cm", 240, 360}, "in"},
		{"A1 0", Size{"A1", 594, 841}, "0"},
	}
	for _, test := range tests {
		size, stock, err := Parse(test.folder)
		if err != nil || size != test.want || stock != test.stock {
			t.Errorf("%q is %+v on %q (%v), want %+v on %q", test.folder, size, stock, err, test.want, test.stock)
		}
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
		{"24x36", `drop folder "24x36" has no unit: say which: 24x36in, 24x36cm or 24x36mm`},
		{"24x36 indigo", `drop folder "24x36 indigo" has no unit: say which: 24x36in, 24x36cm or 24x36mm`},
		{"2000x3000", `drop folder "2000x3000" has no unit: say which: 2000x3000mm`},
		{"24in x 36 rag", `drop folder "24in x 36 rag" has a unit on one side only: write 24x36in`},
		{"24in x 90cm", `drop folder "24in x 90cm" mixes in and cm: write both sides in one unit, such as 24x90cm`},

		// Near misses.
		{"A12", `drop folder "A12" is not a size: ISO 216 has A0 to A10; for another size give two sides and their unit, such as 50x70cm`},
		{"B11 rag", `drop folder "B11 rag" is not a size: ISO 216 has B0 to B10; for another size give two sides and their unit, such as 50x70cm`},
		{"C4", `drop folder "C4" is not a size: ISO 216 has A and B sizes; C sizes are envelopes, so give two sides and their unit, such as 229x324mm`},
		{"a4lustre", `drop folder "a4lustre" is not a size: put a space before the stock: A4 lustre`},
		{"soft matte A4", `drop folder "soft matte A4" is not a size: put the size first: A4 soft matte`},

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
		{"A4 rag-", `drop folder "A4 rag-" has a stock's name with a dash at its end: write rag`},
		{"A4 soft/matte", `drop folder "A4 soft/matte" has a stock's name with '/' in it: use letters, digits, spaces and dashes`},
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

// Whatever a folder is named, it is refused or it is a size within the limits
// whose canonical name means the same.
func FuzzParse(f *testing.F) {
	for _, name := range []string{
		"A4 lustre", "a3+matte", "24x36in", "24 × 36″ rag", "29,7x42cm", "1x1.5m", "24in x 36in",
		"A12", "lustre A4", "24x36", "99999999999x1m", "A4 İx", "A4 - a", "B 3_x", "\xff", "10x10mm 1",
	} {
		f.Add(name)
	}
	f.Fuzz(func(t *testing.T, name string) {
		size, stock, err := Parse(name)
		if err != nil {
			return
		}
		if !(size.ShortMM() >= MinSideMM && size.LongMM() <= MaxSideMM) || len(stock) > MaxStockBytes {
			t.Fatalf("%q is %+v on %q", name, size, stock)
		}
		if again, none, err := Parse(size.Name); err != nil || again != size || none != "" {
			t.Fatalf("%q is %+v, but %q is %+v on %q (%v)", name, size, size.Name, again, none, err)
		}
		folder := FolderName(size, stock)
		if again, same, err := Parse(folder); err != nil || again != size || same != stock {
			t.Fatalf("%q is %+v on %q, but %q is %+v on %q (%v)", name, size, stock, folder, again, same, err)
		}
		if stock != "" {
			if same, err := ParseStock(stock); err != nil || same != stock {
				t.Fatalf("stock %q is stock %q (%v)", stock, same, err)
			}
		}
	})
}
