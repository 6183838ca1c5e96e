package config

import (
	"errors"
	"strings"
	"testing"
)

func problemsOf(t *testing.T, text string) string {
	t.Helper()
	_, err := Parse("sizewright.toml", []byte(text))
	var problems Problems
	if !errors.As(err, &problems) {
		t.Fatalf("%q gives %v, which is no Problems", text, err)
	}
	return problems.Error()
}

func TestEveryMistakeIsReportedAtOnce(t *testing.T) {
	got := problemsOf(t, `coers = 2
ppi = 300

[intake]
settle = 2s
rescan = 60

  [print]
  ppi = "360"
  bits = 12
  pre_sharpening = 0,5

[stock.lustre]
output_sharpening = 3
[folder."holiday"]
fit = "hole"
`)
	want := `sizewright.toml:1:1: coers: there is no such key: did you mean cores, under [work]?
sizewright.toml:2:1: ppi: the key belongs under [print]
sizewright.toml:5:11: put text in quotes: settle = "2s"
sizewright.toml:6:1: intake.rescan: give a time from 1s to 24h with its unit, in quotes, such as "90s", not 60
sizewright.toml:9:3: print.ppi: give a number from 72 to 2880 pixels per inch, not the text "360"
sizewright.toml:10:3: print.bits: give 8 or 16, not 12
sizewright.toml:11:21: write decimals with a point: pre_sharpening = 0.5
sizewright.toml:14:1: stock.lustre.output_sharpening: give a number from 0 to 2, not 3
sizewright.toml:15:2: folder.holiday: drop folder "holiday" is not a size: name it like A2, 24x36in, 50x70cm or 610x914mm, with a stock after it if you like (A2 lustre)
sizewright.toml:16:1: folder.holiday.fit: give "whole" or "fill", not the text "hole": did you mean "whole"?`
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestEachMistakeIsToldItsRemedy(t *testing.T) {
	const tables = `there are [intake], [work], [machines], [limits], [morning], [print], [media.NAME], [stock.NAME] and [folder."SIZE STOCK"]`
	tests := []struct{ text, want string }{
		// Keys in the wrong place.
		{"[print]\nsettle = \"1s\"", `2:1: print.settle: the key belongs under [intake]`},
		{"[intake]\ncores = 1", `2:1: intake.cores: the key belongs under [work]`},
		{"[stock]\nppi = 300", `2:1: stock.ppi: the key belongs under [stock.NAME], or under [print] to hold for all`},
		{"stock.rag = 5", `1:1: stock.rag: this is a table, not a key: write [stock.rag] on a line of its own`},
		{"print = 360", `1:1: print: this is a table, not a key: write [print] on a line of its own`},
		{"[workers]", `1:2: workers: this is a key, not a table: write cores = VALUE under [work]`},
		{"[stock.rag.ppi]\nx = 1", `1:2: stock.rag.ppi: this is a key, not a table: write ppi = VALUE under [stock.NAME]`},

		// Misspelt.
		{"[print]\ncomression = \"lzw\"", `2:1: print.comression: there is no such key: did you mean compression?`},
		{"[print]\nfti = \"fill\"", `2:1: print.fti: there is no such key: did you mean fit?`},
		{"[intake]\ncolour = 1", `2:1: intake.colour: there is no such key here: [intake] may have settle, rescan, stalled_after`},
		{"[prnit]\nppi = 1\nx = 2", `1:2: prnit: there is no such table: did you mean [print]?`},
		{"[weather]\n[weather.today]", `1:2: weather: there is no such table: ` + tables},
		{"weather.a = 1\nweather.b = 2", `1:1: weather: there is no such table: ` + tables},
		{"[A4]\nppi = 300", `1:2: A4: there is no such table: did you mean [folder.A4]?`},

		// Names.
		{"[folder.24.5x36in]", `1:2: folder.24.5x36in: a name with points in it stands in quotes: [folder."24.5x36in"]`},
		{"[folder.24x36in canvas]\nppi = 1", `1:17: put a name with spaces or signs in quotes: [folder."24x36in canvas"]; what stands under it is not checked yet`},
		{`[stock."a/b"]`, `1:2: stock."a/b": stock "a/b" is a stock's name with '/' in it: use letters, digits, spaces and dashes`},
		{"[stock.Rag]\n[stock.rag]", `2:2: stock.rag: [stock.Rag] speaks of the same stock: keep one of the two`},
		{"[folder.a4]\n[folder.\"A4 \"]", `2:2: folder."A4 ": [folder.a4] speaks of the same prints: keep one of the two`},
		{"[folder.24x36in]\n[folder.36x24in]", `2:2: folder.36x24in: [folder.24x36in] speaks of the same prints: keep one of the two`},
		{"[folder.'420x594mm rag']\n[folder.'A2 Rag']", `2:2: folder."A2 Rag": [folder."420x594mm rag"] speaks of the same prints: keep one of the two`},
		{"[[stock]]\nppi = 1\n[[stock]]", `1:3: stock: write a table's name in single brackets, and each table once`},

		// Keys that do not go together.
		{"[print]\nminimum_ppi = 200\ncaution_ppi = 150", `2:1: print.minimum_ppi: 200 is above caution_ppi, which is 150: give at most that`},
		{"[stock.rag]\ncaution_ppi = 150\n[print]\nminimum_ppi = 200", `2:1: stock.rag.caution_ppi: 150 is below minimum_ppi, which is 200: give at least that`},
		{"[folder.\"A4 rag\"]\nminimum_ppi = 151\n[stock.rag]\ncaution_ppi = 150", `2:1: folder."A4 rag".minimum_ppi: 151 is above caution_ppi, which is 150: give at most that`},

		{"[print]\nprofile = 'a.icc'\nworking_space = 'a98'", `3:1: print.working_space: a print is converted to one space, and profile gives another: take away profile or working_space`},
		{"[folder.holiday]\nworking_space = 'srgb'\n profile = 'a.icc'", `1:2: folder.holiday: drop folder "holiday" is not a size: name it like A2, 24x36in, 50x70cm or 610x914mm, with a stock after it if you like (A2 lustre)
sizewright.toml:2:1: folder.holiday.working_space: a print is converted to one space, and profile gives another: take away profile or working_space`},
		{"[stock.rag]\nblack_point_compensation = true\nintent = 'absolute'", `2:1: stock.rag.black_point_compensation: true has no effect with the intent "absolute", which keeps black as it was measured: take the line away, or give the intent "relative"`},

		// Colour.
		{"print.intent = 'perceptal'", `1:1: print.intent: give "relative", "perceptual", "saturation" or "absolute", not the text "perceptal": did you mean "perceptual"?`},
		{"print.intent = 'Absolute Colorimetric'", `1:1: print.intent: give "relative", "perceptual", "saturation" or "absolute", not the text "Absolute Colorimetric": did you mean "absolute"?`},
		{"print.intent = 'vivid'", `1:1: print.intent: give "relative", "perceptual", "saturation" or "absolute", not the text "vivid"`},
		{"print.working_space = 'sRGB IEC61966-2.1'", `1:1: print.working_space: give "", "srgb", "a98" or "romm", not the text "sRGB IEC61966-2.1": did you mean "srgb"?`},
		{"print.working_space = 'Adobe RGB (1998)'", `1:1: print.working_space: give "", "srgb", "a98" or "romm", not the text "Adobe RGB (1998)": did you mean "a98"?`},
		{"print.working_space = 'ProPhoto'", `1:1: print.working_space: give "", "srgb", "a98" or "romm", not the text "ProPhoto": did you mean "romm"?`},
		{"print.working_space = '('", `1:1: print.working_space: give "", "srgb", "a98" or "romm", not the text "("`},
		{"print.profile = 'lustre.jpg'", `1:1: print.profile: give the path of a file that ends in .icc or .icm, or "", not the text "lustre.jpg"`},
		{"print.profile = 'http://example.org/a.icc'", `1:1: print.profile: give the path of a file that ends in .icc or .icm, or "", not the text "http://example.org/a.icc": nothing is fetched for a print, so save the file in the studio and give its path`},
		{`print.profile = "a\u0000.icc"`, `1:1: print.profile: give the path of a file that ends in .icc or .icm, or "", not the text "a\x00.icc": a path has no control characters in it`},
		{"print.gamut_caution_delta_e = 2", `1:1: print.gamut_caution_delta_e: give 1, 3 or 6, for which the measurement states shares, not 2`},
		{"[print]\nstrict_profile = 'yes'", `2:1: print.strict_profile: give true or false, without quotes, not the text "yes"`},
		{"[print]\nstrict_profile = Yes # sure", `2:18: write true or false in small letters: strict_profile = true`},
		{"[print]\nstrict_profile = no", `2:18: write true or false in small letters: strict_profile = false`},

		// No TOML.
		{"workers 3", `1:9: there is no = on the line: write KEY = VALUE, with text in quotes`},
		{"workers = 1\nworkers = 2", `2:1: workers is in the file already: keep one of the two`},
		{"[print]\n[print]\nppi = 1", `2:2: print is in the file already: keep one of the two; what stands under it is not checked yet`},
		{"[print]\nfit = whole # all of it", `2:7: put text in quotes: fit = "whole"`},
		{"# Büro\n\"ü\" = 1; workers = 2", `2:8: write each key on a line of its own`},
		{"workers = [1,\n", `1:14: the list has no end: write it as ["one", "other"] on one line`},
		{"[print\nppi = 300", `1:7: a table's name stands between brackets, in quotes if it has spaces or signs: write [NAME]; what stands under it is not checked yet`},
		{"[print]\nppi: 300", `2:4: write = between a key and its value, not a colon`},
		{"[print]\nppi == 300", `2:6: write = once: KEY = VALUE`},
		{"[print]\nppi =", `2:5: there is no value after the =: write KEY = VALUE, or take the line out`},
		{"[print]\nppi = 36O", `2:9: the number cannot be read: write one such as 300 or 0.5, with nothing after it`},
		{"[print]\nfit = \"whole", `2:12: there is a " too many, or one is missing: write text between two`},
		{"[print]\nprofile = \"C:\\papers\\a.icc\"", `2:14: in "..." a \ begins a code: write '...' in single quotes`},
		{"[print]\ncaption = “{name}”", `2:11: write straight quotes, "like these"`},
		{"[print]\nppi = 300,\n", `2:10: take away the sign at the end of the line`},
		{"[print]\nppi = \xff", `2:7: the line holds bytes that are no text: save the file as UTF-8`},
		{"\xff\xfew\x00", `1:1: the file is UTF-16 text: save it as UTF-8`},
	}
	for _, test := range tests {
		if got, want := problemsOf(t, test.text), "sizewright.toml:"+test.want; got != want {
			t.Errorf("%q is told\n\t%s\nwant\n\t%s", test.text, got, want)
		}
	}
}

func TestMistakesPastABrokenTableAreStillFound(t *testing.T) {
	got := problemsOf(t, "[print\nppi = 1\n[intake]\nrescan = 1\n")
	if strings.Contains(got, "print.ppi") || !strings.Contains(got, ":4:1: intake.rescan: ") {
		t.Errorf("got\n%s", got)
	}
}

func TestEqualKeysOfTwoLayersMayBeEqual(t *testing.T) {
	mustParse(t, "[print]\nminimum_ppi = 150\n[stock.rag]\ncaution_ppi = 150\n[folder.A4]\nminimum_ppi = 0\ncaution_ppi = 10")
}

func TestAFileOfNonsenseIsNotReportedWhole(t *testing.T) {
	got := problemsOf(t, strings.Repeat("nonsense!\n", 1000))
	if n := strings.Count(got, "\n") + 1; n != maxSyntaxFaults {
		t.Errorf("%d problems", n)
	}
}

func TestNearestWord(t *testing.T) {
	words := names(printKeys)
	for misspelt, want := range map[string]string{
		"pip": "ppi", "bit": "bits", "fitt": "fit", "caution-ppi": "caution_ppi",
		"outputsharpening": "output_sharpening", "x": "", "": "", "colour": "", "ab": "",
	} {
		if got := nearest(misspelt, words); got != want {
			t.Errorf("%q is taken for %q, want %q", misspelt, got, want)
		}
	}
}
