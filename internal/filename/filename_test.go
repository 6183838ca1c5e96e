package filename

import (
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"
)

// Microsoft, "Naming Files, Paths, and Namespaces": naming conventions.
func TestWhatWindowsCannotOpenHasANameThatItCan(t *testing.T) {
	for name, want := range map[string]string{
		"salt marsh, dawn.jpg": "salt marsh, dawn.jpg",
		"Hochmoor grün.jpg":    "Hochmoor grün.jpg",
		".marsh":               ".marsh",
		"marsh.":               "marsh_",
		"marsh. ":              "marsh._",
		"marsh .jpg":           "marsh .jpg",
		`a<b>c:d"e/f\g|h?i*.j`: "a_b_c_d_e_f_g_h_i_.j",
		"a\x01b\x1fc\nd":       "a_b_c_d",
		"con":                  "con_",
		"con.jpg":              "con_.jpg",
		"Aux.tar.gz":           "Aux_.tar.gz",
		"nul .jpg":             "nul_ .jpg",
		"PRN":                  "PRN_",
		"com0.jpg":             "com0_.jpg",
		"com1":                 "com1_",
		"COM¹.jpg":             "COM¹_.jpg",
		"com².jpg":             "com²_.jpg",
		"lpt9.tif":             "lpt9_.tif",
		"LPT³":                 "LPT³_",
		"CONIN$.txt":           "CONIN$_.txt",
		"com10.jpg":            "com10.jpg",
		"com⁴.jpg":             "com⁴.jpg",
		"console.jpg":          "console.jpg",
		"my con.jpg":           "my con.jpg",
		"con-2.jpg":            "con-2.jpg",
		"mar\xe9e.jpg":         "mar_e.jpg",
		"\u202egpj.exe":        "_gpj.exe",
		"a\u200bb\ufeffc":      "a_b_c",
		"می\u200cخواهم.jpg":    "می\u200cخواهم.jpg",
		"..":                   "._",
	} {
		if got := Safe(name); got != want {
			t.Errorf("Safe(%q) = %q, want %q", name, got, want)
		}
	}
}

func TestALongDeviceNameStaysWithinTheLimit(t *testing.T) {
	got := Safe("con." + strings.Repeat("m", 251))
	if len(got) != MaxBytes || !strings.HasPrefix(got, "con_.mmm") {
		t.Errorf("%d bytes: %q", len(got), got)
	}
}

func TestAFolderIsForTheDropFolderOfItsName(t *testing.T) {
	for _, c := range []struct {
		folder, drop string
		want         bool
	}{
		{"A2", "A2", true}, {"A2", "a2", true}, {"24x36_", `24x36"`, true}, {"A2_", "A2 ", true},
		{"A2 ", "A2 ", true}, // as older versions named it
		{"A3", "A2", false}, {"A2_", "A2", false}, {"A2 lustre_glossy", "A2 lustre:glossy", true},
	} {
		if got := IsFor(c.folder, c.drop); got != c.want {
			t.Errorf("IsFor(%q, %q) = %v", c.folder, c.drop, got)
		}
	}
}

func TestNamesThatAShareCannotTellApartAreOne(t *testing.T) {
	for _, pair := range [][2]string{
		{"Marsh.TIF", "marsh.tif"},
		{"GRÜN.tif", "grün.tif"},
		{"pr\u00e9.tif", "pre\u0301.tif"}, // Unicode Standard Annex 15: canonically equivalent
		{"Σ.tif", "ς.tif"},
	} {
		if Fold(pair[0]) != Fold(pair[1]) {
			t.Errorf("%q and %q are two names", pair[0], pair[1])
		}
	}
	if Fold("marsh-2.tif") == Fold("marsh-3.tif") {
		t.Error("everything is one name")
	}
}

func FuzzASafeNameStaysAsItIs(f *testing.F) {
	for _, name := range []string{"marsh.jpg", "con", "nul.", "a:b?", "\xff\xfe", "..", strings.Repeat("é", 300), "com1 ." + strings.Repeat(".", 250)} {
		f.Add(name)
	}
	f.Fuzz(func(t *testing.T, name string) {
		got := Safe(name)
		if Safe(got) != got || len(got) > MaxBytes || !utf8.ValidString(got) || len(utf16.Encode([]rune(got))) > MaxBytes {
			t.Errorf("Safe(%q) = %q, and of that %q", name, got, Safe(got))
		}
		if strings.ContainsAny(got, "<>:\"/\\|?*\n\x00\u202e") || strings.HasSuffix(got, ".") || strings.HasSuffix(got, " ") || device.MatchString(got) {
			t.Errorf("Safe(%q) = %q", name, got)
		}
	})
}
